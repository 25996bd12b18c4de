"""Motors and fixed machines."""

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"
PLACE = """
buildings.shop = { use = "workshop" }
equipment.panel = { kind = "panel", building = "shop", terminal_temperature_c = 75 }
runs.drop = { from = "utility", to = "panel" }
"""


def motor(circuit="", load="", hp="5"):
    return PLACE + (
        f'circuits.pump = {{ from = "panel", metal = "copper", insulation = "THWN", {circuit} }}\n'
        f'loads.pump = {{ kind = "well pump", circuit = "pump", hp = "{hp}", volts = 240, {load} }}\n'
    )


# A 5 hp motor at 230 V takes 28 A by Table 430.248; its wire 125 percent: 35 A. A 10 AWG copper wire of 75 C carries
# 35 A, a 12 AWG one 25 A. The largest inverse-time breaker is 250 percent, 70 A; a time-delay fuse 175 percent, 49 A,
# so 50 A; an ordinary fuse 300 percent, 84 A, so 90 A. Common practice, NEC 430.22, 430.52.


def test_motor_conductor_carries_the_motor_passes():
    assert verdicts("motor-conductor-carries-the-motor", motor('wire_size = "10 AWG"')) == []
    assert verdicts("motor-conductor-carries-the-motor", motor()) == []


def test_motor_conductor_carries_the_motor_fails():
    [told] = says("motor-conductor-carries-the-motor", motor('wire_size = "12 AWG"'))
    assert told.verdict.value == MEND
    assert "35.0 A" in told.wrong


def test_motor_device_not_too_large_passes():
    for device in ('ocpd = "breaker", ocpd_a = 70', 'ocpd = "time-delay fuse", ocpd_a = 50',
                   'ocpd = "cartridge fuse", ocpd_a = 90'):  # fmt: skip
        assert verdicts("motor-device-not-too-large", motor(device)) == []
    # Its nameplate, where it has one for this, is the measure.
    assert verdicts("motor-device-not-too-large", motor('ocpd = "breaker", ocpd_a = 80', "mocp_a = 80")) == []


def test_motor_device_not_too_large_fails():
    for device in ('ocpd = "breaker", ocpd_a = 80', 'ocpd = "time-delay fuse", ocpd_a = 60',
                   'ocpd = "cartridge fuse", ocpd_a = 100'):  # fmt: skip
        assert verdicts("motor-device-not-too-large", motor(device)) == [ASK]
    new = motor('ocpd = "breaker", ocpd_a = 80, is_new = true')
    assert verdicts("motor-device-not-too-large", new, found=installation(PLACE)) == [MEND]


def test_a_motor_among_other_loads_is_left_to_the_rules_on_the_wire():
    shared = motor('ocpd = "breaker", ocpd_a = 80, wire_size = "12 AWG"')
    shared += 'loads.lamp = { kind = "lighting", circuit = "pump", va = 100 }\n'
    assert verdicts("motor-device-not-too-large", shared) == []
    assert verdicts("motor-conductor-carries-the-motor", shared) == []


def test_motor_disconnect_in_sight_passes():
    assert verdicts("motor-disconnect-in-sight", motor(load="disconnect_in_sight = true")) == []
    assert verdicts("motor-disconnect-in-sight", motor(load="receptacle_supplied = true")) == []


def test_motor_disconnect_in_sight_fails():
    assert verdicts("motor-disconnect-in-sight", motor(load="disconnect_in_sight = false")) == [KNOW]
    assert verdicts("motor-disconnect-in-sight", motor(load="disconnect_in_sight = false, is_new = true")) == [MEND]
    assert verdicts("motor-disconnect-in-sight", motor()) == [KNOW]
    assert verdicts("motor-disconnect-in-sight", motor(load="is_new = true")) == [ASK]


def machine(kind, load):
    return PLACE + f'loads.unit = {{ kind = "{kind}", panel = "panel", {load} }}\n'


def test_cooling_disconnect_in_sight_passes():
    assert verdicts("cooling-disconnect-in-sight", machine("heat pump", "disconnect_in_sight = true")) == []
    assert verdicts("cooling-disconnect-in-sight", machine("range", "kw = 12")) == []


def test_cooling_disconnect_in_sight_fails():
    assert verdicts("cooling-disconnect-in-sight", machine("heat pump", "disconnect_in_sight = false")) == [KNOW]
    new = machine("air conditioner", "is_new = true")
    [asked] = says("cooling-disconnect-in-sight", new)
    assert asked.verdict.value == ASK
    assert "50 ft" in asked.mend


def test_appliance_disconnect_in_sight_passes():
    assert verdicts("appliance-disconnect-in-sight", machine("water heater", "va = 300")) == []
    assert (
        verdicts("appliance-disconnect-in-sight", machine("dishwasher", "va = 900, receptacle_supplied = true")) == []
    )


def test_appliance_disconnect_in_sight_fails():
    assert verdicts("appliance-disconnect-in-sight", machine("water heater", "va = 4500")) == [KNOW]
    new = machine("water heater", "va = 4500, disconnect_in_sight = false, is_new = true")
    assert verdicts("appliance-disconnect-in-sight", new) == [MEND]


def test_motor_overload_protection_passes():
    for seen in ("", 'overload_protection = "starter"', 'overload_protection = "built in"'):
        assert verdicts("motor-overload-protection", motor('ocpd = "breaker"', seen)) == []
    fuses = 'overload_protection = "fuses of the circuit"'
    assert verdicts("motor-overload-protection", motor('ocpd = "time-delay fuse"', fuses)) == []


def test_motor_overload_protection_fails():
    assert verdicts("motor-overload-protection", motor(load='overload_protection = "none"')) == [MEND]
    fuses = 'overload_protection = "fuses of the circuit"'
    assert verdicts("motor-overload-protection", motor('ocpd = "breaker"', fuses)) == [MEND]
