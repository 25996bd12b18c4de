"""Branch circuits: poles and legs, standard ratings, ranges, new receptacles."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"
PLACE = """
buildings.house = { use = "dwelling" }
equipment.panel = { kind = "panel", building = "house" }
runs.drop = { from = "utility", to = "panel" }
"""


def pair(one="", two=""):
    return PLACE + (
        f'circuits.a = {{ from = "panel", multiwire_with = "b", {one} }}\n'
        f'circuits.b = {{ from = "panel", multiwire_with = "a", {two} }}\n'
    )


def test_multiwire_on_opposite_legs_passes():
    assert verdicts("multiwire-on-opposite-legs", pair('leg = "A"', 'leg = "B"')) == []
    # A device of two poles takes both lines.
    assert verdicts("multiwire-on-opposite-legs", pair("poles = 2", "poles = 2")) == []


def test_multiwire_on_opposite_legs_fails():
    assert verdicts("multiwire-on-opposite-legs", pair('leg = "A"', 'leg = "A"')) == [MEND]
    assert verdicts("multiwire-on-opposite-legs", pair('leg = "A"')) == [ASK]
    assert verdicts("multiwire-on-opposite-legs", pair()) == [ASK]


def heater(circuit, volts=240):
    return PLACE + (
        f'circuits.heater = {{ from = "panel", {circuit} }}\n'
        f'loads.heater = {{ kind = "water heater", circuit = "heater", va = 4500, volts = {volts} }}\n'
    )


def test_two_poles_for_line_to_line_passes():
    assert verdicts("two-poles-for-line-to-line", heater("poles = 2")) == []
    assert verdicts("two-poles-for-line-to-line", heater("poles = 1", 120)) == []


def test_poles_that_nobody_counted_are_asked_about_where_a_load_takes_both_lines():
    [told] = says("two-poles-for-line-to-line", heater(""))
    assert (told.verdict.value, told.where) == ("must be asked", "circuits.heater.poles")
    assert verdicts("two-poles-for-line-to-line", heater("", 120)) == []


def test_two_poles_for_line_to_line_fails():
    [told] = says("two-poles-for-line-to-line", heater("poles = 1"))
    assert told.verdict.value == MEND
    assert "240 V" in told.wrong


# 15 20 25 30 35 40 45 50 60 70 80 90 100 110 125 150 175 200 A: NEC 240.6(A), public audit file, to 200 A.
@pytest.mark.parametrize("rating", [15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200])
def test_a_standard_rating_is_no_question(rating):
    assert verdicts("standard-device-rating", heater(f"ocpd_a = {rating}")) == []


def test_standard_device_rating_passes():
    # 10 A is standard from 2023 on.
    assert verdicts("standard-device-rating", heater('ocpd = "breaker", ocpd_a = 10'), "NEC 2023") == []


def test_standard_device_rating_fails():
    assert verdicts("standard-device-rating", heater("ocpd_a = 65")) == [ASK]
    assert verdicts("standard-device-rating", heater('ocpd = "breaker", ocpd_a = 10'), "NEC 2020") == [ASK]
    run = PLACE + 'equipment.sub = { kind = "panel" }\nruns.sub = { from = "panel", to = "sub", ocpd_a = 55 }\n'
    assert [finding.where for finding in says("standard-device-rating", run)] == ["runs.sub.ocpd_a"]


def stove(device, kw, more=""):
    return PLACE + (
        f'circuits.range = {{ from = "panel", poles = 2, ocpd_a = {device}{more} }}\n'
        f'loads.range = {{ kind = "range", circuit = "range", kw = {kw} }}\n'
    )


def test_range_circuit_large_enough_passes():
    # 40 A from 8.75 kW on: NEC 210.19, thebuildingcodeforum.com posts/304441.
    assert verdicts("range-circuit-large-enough", stove(40, 8.75)) == []
    assert verdicts("range-circuit-large-enough", stove(30, 8.7)) == []


def test_range_circuit_large_enough_fails():
    assert verdicts("range-circuit-large-enough", stove(35, 8.75)) == [KNOW]
    new = stove(35, 8.75, ", is_new = true")
    assert verdicts("range-circuit-large-enough", new, found=installation(PLACE)) == [MEND]


def receptacles(fields, use="dwelling"):
    return (
        PLACE.replace('"dwelling"', f'"{use}"')
        + f'circuits.bath = {{ from = "panel", receptacles = true, {fields} }}\n'
    )


def test_ground_fault_protection_of_new_receptacles_passes():
    rule = "ground-fault-protection-of-new-receptacles"
    assert verdicts(rule, receptacles('purpose = "bathroom", gfci = true, is_new = true')) == []
    assert verdicts(rule, receptacles('purpose = "general", gfci = false, is_new = true')) == []
    assert verdicts(rule, receptacles('purpose = "bathroom", gfci = false, is_new = true', "workshop")) == []


def test_ground_fault_protection_of_new_receptacles_fails():
    rule = "ground-fault-protection-of-new-receptacles"
    assert verdicts(rule, receptacles('purpose = "bathroom", gfci = false, is_new = true')) == [MEND]
    assert verdicts(rule, receptacles('purpose = "bathroom", is_new = true')) == [ASK]
    assert verdicts(rule, receptacles("is_new = true")) == [ASK]
    assert verdicts(rule, receptacles('purpose = "bathroom", gfci = false')) == [KNOW]


def tank(size, more=""):
    return PLACE.replace('building = "house" }', f'building = "house"{more} }}') + (
        f'circuits.tank = {{ from = "panel", poles = 2, wire_size = "{size}", metal = "copper", insulation = "TW", '
        'cable = "NM cable" }\nloads.tank = { kind = "water heater", circuit = "tank", kw = 4.5, volts = 240 }\n'
    )


# 4,500 VA / 240 V x 1.25 = 23.4 A: 12 AWG carries 20 A, 10 AWG 30 A (NEC 422.13, Table 310.16; common practice).


def test_wire_large_enough_for_its_load_passes():
    assert verdicts("wire-large-enough-for-its-load", tank("10")) == []


def test_wire_large_enough_for_its_load_fails():
    [told] = says("wire-large-enough-for-its-load", tank("12"))
    assert told.verdict.value == KNOW
    assert "23.4 A" in told.wrong
    # Landing it on a new breaker that cannot feed it would be this job's own fault.
    new = tank("12", ", is_new = true")
    assert verdicts("wire-large-enough-for-its-load", new, found=installation(PLACE)) == [MEND]


# A device carries its appliance: 4.5 kW / 240 V = 18.75 A, a storage water heater at 125 percent: 23.4 A (422.13).
# A dryer of 5.5 kW: 22.9 A. A range of 12 kW by the cooking table 8 kW: 33.3 A. A charger of 32 A at 125 percent:
# 40 A (625.41). Common practice, NEC 422.10(A), 210.20(A), 220.55.
APPLIANCES = (
    ("water heater", "kw = 4.5", 20, 25),
    ("dryer", "kw = 5.5", 20, 25),
    ("range", "kw = 12", 30, 35),
    ("vehicle charger", "current_a = 32", 35, 40),
    ("electric heat", "kw = 4.8", 20, 25),
    ("air conditioner", "mca_a = 22", 20, 25),
    ("other appliance", "va = 4600, continuous = true", 20, 25),
)


def appliance(kind, plate, ocpd_a, circuit="", panel=""):
    return (
        'buildings.house = { use = "dwelling" }\n'
        f'equipment.panel = {{ kind = "panel", building = "house", {panel} }}\n'
        'runs.drop = { from = "utility", to = "panel" }\n'
        f'circuits.unit = {{ from = "panel", poles = 2, ocpd = "breaker", ocpd_a = {ocpd_a}, {circuit} }}\n'
        f'loads.unit = {{ kind = "{kind}", circuit = "unit", volts = 240, {plate} }}\n'
    )


def test_device_carries_the_appliance_passes():
    for kind, plate, _, enough in APPLIANCES:
        assert verdicts("device-carries-the-appliance", appliance(kind, plate, enough)) == [], kind
    # An unread plate is no measure, and a motor follows its own rules.
    assert verdicts("device-carries-the-appliance", appliance("water heater", "", 15)) == []
    assert verdicts("device-carries-the-appliance", appliance("well pump", 'hp = "5"', 15)) == []


def test_device_carries_the_appliance_fails():
    for kind, plate, small, _ in APPLIANCES:
        assert verdicts("device-carries-the-appliance", appliance(kind, plate, small)) == [KNOW], kind
    [told] = says("device-carries-the-appliance", appliance("water heater", "kw = 4.5", 20))
    assert "23.4 A" in told.wrong
    assert told.mend.startswith("A circuit of 25 A")
    new = appliance("water heater", "kw = 4.5", 20, "is_new = true")
    assert verdicts("device-carries-the-appliance", new, found=installation(PLACE)) == [MEND]


def test_a_device_made_smaller_for_an_old_wire_must_still_carry_its_appliance():
    # 12 AWG copper takes 20 A and no more, whatever its insulation; the metal of another nobody read.
    before = installation(appliance("water heater", "kw = 4.5", 30))
    copper = 'wire_size = "12 AWG", metal = "copper", insulation = "THWN"'
    after = appliance("water heater", "kw = 4.5", 20, copper, "is_new = true")
    assert verdicts("device-carries-the-appliance", after, found=before) == [MEND]
    unread = appliance("water heater", "kw = 4.5", 20, 'wire_size = "10 AWG"', "is_new = true")
    assert verdicts("device-carries-the-appliance", unread, found=before) == [ASK]
