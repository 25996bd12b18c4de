"""Fuses and breakers against the wire behind them, and the panel that holds them."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def panel(fields="", more=""):
    return (
        'buildings.house = { use = "dwelling" }\nruns.service = { from = "utility", to = "panel" }\n'
        f'equipment.panel = {{ kind = "panel", building = "house"{fields and ", " + fields} }}\n{more}\n'
    )


def circuit(fields):
    return panel(more=f'circuits.one = {{ from = "panel", serves = "range", {fields} }}')


def protects(fields, **more):
    return verdicts("breaker-protects-the-old-wire", circuit(fields), **more)


# 14 AWG copper to 15 A, 12 to 20, 10 to 30; aluminum 12 to 15, 10 to 25: NEC 240.4(D), encorewire.com wire size table.
SMALL = [
    ("14", "copper", 15),
    ("12", "copper", 20),
    ("10", "copper", 30),
    ("12", "aluminum", 15),
    ("10", "aluminum", 25),
]


@pytest.mark.parametrize(("size", "metal", "most"), SMALL)
def test_breaker_protects_the_old_wire_passes(size, metal, most):
    assert protects(f'wire_size = "{size}", metal = "{metal}", ocpd_a = {most}') == []


@pytest.mark.parametrize(("size", "metal", "most"), SMALL)
def test_breaker_protects_the_old_wire_fails(size, metal, most):
    told = says(
        "breaker-protects-the-old-wire", circuit(f'wire_size = "{size}", metal = "{metal}", ocpd_a = {most + 5}')
    )
    assert [finding.verdict for finding in told] == [MEND]
    assert f"allows {most} A" in told[0].wrong
    assert told[0].where == "circuits.one"


def test_a_wire_of_unknown_size_is_asked_about():
    assert protects("ocpd_a = 20") == [ASK]
    assert protects('wire_size = "12", metal = "copper"') == [ASK]


def test_a_spare_or_a_new_circuit_without_wire_is_no_question():
    assert protects('purpose = "spare"') == []
    assert protects("is_new = true") == []


def test_metal_insulation_or_terminals_may_decide():
    # 6 AWG aluminum: 40 A by the 60 C column, 50 A by the 75 C column (NEC Table 310.16).
    assert protects('wire_size = "6", metal = "aluminum", ocpd_a = 40') == []
    assert protects('wire_size = "6", metal = "aluminum", ocpd_a = 50') == [ASK]
    assert protects('wire_size = "6", metal = "aluminum", insulation = "TW", ocpd_a = 50') == [MEND]
    assert protects('wire_size = "6", metal = "aluminum", cable = "NM cable", ocpd_a = 50') == [MEND]
    assert protects('wire_size = "12", ocpd_a = 20') == [ASK]


def test_each_question_is_asked_once_a_panel():
    lines = "\n".join(f'circuits.c{n} = {{ from = "panel", ocpd_a = 20 }}' for n in range(12))
    told = says("breaker-protects-the-old-wire", panel(more=lines))
    assert [finding.where for finding in told] == ["equipment.panel"]
    assert "c11" in told[0].wrong


@pytest.mark.parametrize(
    ("load", "told"),
    [
        ('kind = "air conditioner", mocp_a = 40', []),
        ('kind = "well pump", hp = "2"', [ASK]),
        ('kind = "water heater", kw = 4.5', [MEND]),
    ],
)
def test_a_motor_circuit_may_have_a_larger_device(load, told):
    text = circuit('wire_size = "10", metal = "copper", ocpd_a = 40') + f'loads.m = {{ circuit = "one", {load} }}'
    assert verdicts("breaker-protects-the-old-wire", text) == told


UNIT = 'loads.m = { circuit = "one", kind = "air conditioner", mocp_a = 40 }'


def test_device_within_the_nameplate_passes():
    assert verdicts("device-within-the-nameplate", circuit("ocpd_a = 40") + UNIT) == []
    assert verdicts("device-within-the-nameplate", circuit('wire_size = "8"') + UNIT) == []


def test_device_within_the_nameplate_fails():
    assert verdicts("device-within-the-nameplate", circuit("ocpd_a = 50") + UNIT) == [MEND]


def test_service_overload_protection_passes():
    assert verdicts("service-overload-protection", panel('main = "breaker"')) == []
    assert verdicts("service-overload-protection", panel('main = "none", branch_protection = "breakers"')) == []


SWITCH = """
equipment = { switch = { kind = "disconnect", main = "none" }, panel = { kind = "panel", main = "%s" } }
runs = { service = { from = "utility", to = "switch" }, inside = { from = "switch", to = "panel" } }
"""


def test_service_overload_protection_fails():
    assert verdicts("service-overload-protection", SWITCH % "none") == [MEND]
    assert verdicts("service-overload-protection", SWITCH % "breaker") == [ASK]
    assert verdicts("service-overload-protection", panel()) == [ASK]


def service_lines(size, main_a, use="storage", insulation="THWN"):
    """A main at the end of copper service conductors in pipe, 75 C terminals."""
    return (
        f'buildings.house = {{ use = "{use}" }}\nequipment.panel = {{ kind = "panel", building = "house", '
        f'main = "breaker", main_a = {main_a}, rating_a = {main_a}, terminal_temperature_c = 75 }}\n'
        f'runs.service = {{ from = "utility", to = "panel", owner = "customer", method = "PVC 80", wires = 3, '
        f'line_size = "{size}", neutral_size = "{size}", metal = "copper", insulation = "{insulation}", '
        "ambient_c = 30 }\n"
        'circuits.one = { from = "panel", ocpd_a = 15, wire_size = "14", metal = "copper" }\n'
        'loads.lamps = { kind = "lighting", circuit = "one", va = 600, volts = 120 }\n'
    )


def test_a_main_larger_than_its_service_conductors_is_found():
    # 1/0 copper: 150 A at 75 C, 2/0: 175 A (Table 310.16), which a whole house may have behind 200 A (Table 310.12).
    (told,) = says("service-overload-protection", service_lines("1/0 AWG", 200))
    assert (told.verdict.value, told.where) == (MEND, "runs.service")
    assert "150 A" in told.wrong
    assert verdicts("service-overload-protection", service_lines("2/0 AWG", 175)) == []
    assert verdicts("service-overload-protection", service_lines("2/0 AWG", 200, "dwelling")) == []
    assert verdicts("service-overload-protection", service_lines("4 AWG", 200, "dwelling")) == [MEND]


def test_a_store_on_the_sizes_of_a_house_is_told_of_once():
    store = service_lines("2/0 AWG", 200)
    assert verdicts("dwelling-table-only-for-whole-dwelling", store) == [MEND]
    assert verdicts("service-overload-protection", store) == []


def feeder(fields):
    return (
        panel(more='equipment.shed = { kind = "panel", building = "shed" }\nbuildings.shed = { use = "storage" }\n')
        + f'runs.feeder = {{ from = "panel", to = "shed", method = "PVC 40", wires = 4, {fields} }}\n'
    )


# 6 AWG copper: 55 A by the 60 C column (NEC Table 310.16), so at most a 60 A device; 65 A by the 75 C column: 70 A.
WIRE = (
    'line_size = "6", neutral_size = "6", egc_size = "8", metal = "copper", insulation = "THWN", ambient_c = 30, '
    "current_carrying = 3, "
)


def test_feeder_device_protects_feeder_passes():
    assert verdicts("feeder-device-protects-feeder", feeder(WIRE + 'ocpd = "breaker", ocpd_a = 60')) == []


def test_feeder_device_protects_feeder_fails():
    assert verdicts("feeder-device-protects-feeder", feeder(WIRE + 'ocpd = "breaker", ocpd_a = 100')) == [MEND]
    assert verdicts("feeder-device-protects-feeder", feeder(WIRE + 'ocpd = "breaker", ocpd_a = 70')) == [ASK]


def test_a_feeder_that_ends_in_a_small_enough_device_may_be_a_lawful_tap():
    ends = feeder(WIRE + 'ocpd = "breaker", ocpd_a = 100').replace(
        'building = "shed"', 'building = "shed", main = "fuses", main_a = 60'
    )
    told = says("feeder-device-protects-feeder", ends)
    assert [finding.verdict for finding in told] == [ASK]
    assert "tap" in told[0].mend
    assert verdicts("feeder-device-protects-feeder", ends.replace("main_a = 60", "main_a = 100")) == [MEND]


def test_fuse_in_the_neutral_passes():
    assert verdicts("fuse-in-the-neutral", panel('fuse_in_neutral = false, main = "fuses"')) == []
    assert verdicts("fuse-in-the-neutral", panel('main = "breaker"')) == []


def test_fuse_in_the_neutral_fails():
    assert verdicts("fuse-in-the-neutral", panel("fuse_in_neutral = true")) == [MEND]
    assert verdicts("fuse-in-the-neutral", panel('main = "fuses"')) == [ASK]


PLUG = 'circuits.one = { from = "panel", ocpd = "plug fuse", ocpd_a = %d, wire_size = "14", metal = "copper" }'


def test_plug_fuses_tamper_passes():
    assert verdicts("plug-fuses-tamper", panel('branch_protection = "breakers"')) == []


def test_plug_fuses_tamper_fails():
    assert verdicts("plug-fuses-tamper", panel(more=PLUG % 30)) == [MEND]
    assert verdicts("plug-fuses-tamper", panel(more=PLUG % 15)) == [KNOW]
    assert verdicts("plug-fuses-tamper", panel('branch_protection = "plug fuses", is_new = true')) == [MEND]


def test_a_plug_fuse_over_thirty_amperes_is_overfused_whatever_the_wire():
    # Plug fuses are made to 30 A: NEC 240.50, from memory.
    text = panel(more=PLUG.replace('wire_size = "14", ', "") % 40)
    assert verdicts("plug-fuses-tamper", text) == [MEND]


THREE = "".join(f'circuits.c{n} = {{ from = "panel", poles = 1 }}\n' for n in range(3))


def test_tandem_breakers_only_where_listed_passes():
    assert verdicts("tandem-breakers-only-where-listed", panel('tandem_breakers = "listed positions"')) == []
    assert verdicts("tandem-breakers-only-where-listed", panel("circuits_max = 3", THREE)) == []


def test_tandem_breakers_only_where_listed_fails():
    assert verdicts("tandem-breakers-only-where-listed", panel('tandem_breakers = "elsewhere"')) == [MEND]
    assert verdicts("tandem-breakers-only-where-listed", panel("circuits_max = 2", THREE)) == [MEND]


def test_unused_openings_closed_passes():
    assert verdicts("unused-openings-closed", panel("unused_openings = 0")) == []


def test_unused_openings_closed_fails():
    assert verdicts("unused-openings-closed", panel("unused_openings = 2")) == [MEND]


def test_one_neutral_per_terminal_passes():
    assert verdicts("one-neutral-per-terminal", panel("neutrals_under_one_screw = 1")) == []


def test_one_neutral_per_terminal_fails():
    assert verdicts("one-neutral-per-terminal", panel("neutrals_under_one_screw = 2")) == [MEND]


def test_directory_says_what_is_fed_passes():
    assert verdicts("directory-says-what-is-fed", panel('directory = "clear"')) == []


def test_directory_says_what_is_fed_fails():
    assert verdicts("directory-says-what-is-fed", panel('directory = "unclear"')) == [MEND]
    assert verdicts("directory-says-what-is-fed", panel('directory = "none"')) == [MEND]


def pair(fields, other="panel", new="false"):
    return panel(
        f"is_new = {new}",
        f'equipment.other = {{ kind = "panel" }}\ncircuits.a = {{ from = "panel", multiwire_with = "b"{fields} }}\n'
        f'circuits.b = {{ from = "{other}", multiwire_with = "a"{fields} }}',
    )


def test_multiwire_disconnects_together_passes():
    assert verdicts("multiwire-disconnects-together", pair(", poles = 2")) == []


def test_multiwire_disconnects_together_fails():
    assert verdicts("multiwire-disconnects-together", pair(", poles = 1", new="true")) == [MEND]
    assert verdicts("multiwire-disconnects-together", pair(", poles = 1")) == [KNOW]
    assert verdicts("multiwire-disconnects-together", pair("")) == [ASK]
    assert verdicts("multiwire-disconnects-together", pair(", poles = 2", other="other")) == [MEND]


SUB = """
equipment = { panel = { kind = "panel" }, sub = { kind = "panel", building = "shed", rating_a = 60, main = "none" } }
buildings.shed = { use = "storage" }
runs.service = { from = "utility", to = "panel" }
runs.feeder = { from = "panel", to = "sub", ocpd = "breaker", ocpd_a = %d }
loads.heat = { kind = "electric heat", panel = "sub", building = "shed", kw = %g }
"""


def test_panel_bus_carries_the_load_passes():
    assert verdicts("panel-bus-carries-the-load", SUB % (60, 9.6)) == []


def test_panel_bus_carries_the_load_fails():
    assert verdicts("panel-bus-carries-the-load", SUB % (100, 9.6)) == [MEND]
    # 19.2 kW / 240 V = 80 A.
    assert verdicts("panel-bus-carries-the-load", SUB % (60, 19.2)) == [MEND]
    assert verdicts("panel-bus-carries-the-load", panel('rating_a = 100, main = "breaker", main_a = 125')) == [MEND]


SEEN = (
    'rating_a = 100, unused_openings = 0, neutrals_under_one_screw = 1, directory = "clear", tandem_breakers = "none"'
)


def test_panel_looked_into_passes():
    assert verdicts("panel-looked-into", panel(SEEN)) == []
    assert verdicts("panel-looked-into", panel("is_new = true")) == []


def test_panel_looked_into_fails():
    told = says("panel-looked-into", panel("rating_a = 100"))
    assert [finding.verdict for finding in told] == [ASK]
    assert "made dead" in told[0].mend


@pytest.mark.parametrize("edition", ["NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026"])
def test_the_small_wire_limits_hold_in_every_edition(edition):
    assert protects('wire_size = "14", metal = "copper", ocpd_a = 20', edition=edition) == [MEND]


def test_the_proposal_is_checked_with_the_breaker_it_lands_on():
    found = installation(circuit('wire_size = "14", metal = "copper", ocpd_a = 30'))
    landed = circuit('wire_size = "14", metal = "copper", ocpd_a = 15')
    assert verdicts("breaker-protects-the-old-wire", landed, found=found) == []


def test_a_motors_own_overload_protection_lets_a_larger_device_stand():
    # 5 hp at 240 V: 28 A by Table 430.248; a breaker to 250 percent, 70 A; 8 AWG of 60 C carries 40 A, and the motor
    # asks 35 A (NEC 430.22, 430.52; common practice). Without overload protection the wire's own 40 A bind.
    def told(seen):
        text = circuit('wire_size = "8", metal = "copper", insulation = "TW", ocpd = "breaker", ocpd_a = 60')
        load = f'loads.pump = {{ kind = "well pump", circuit = "one", hp = "5", volts = 240, {seen} }}\n'
        return verdicts("breaker-protects-the-old-wire", text + load)

    assert told('overload_protection = "starter"') == []
    assert told("") == ["must be asked"]
    assert told('overload_protection = "none"') == ["must be mended"]
