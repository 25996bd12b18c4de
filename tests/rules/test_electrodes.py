"""What is in the earth: joined, enough, and what it takes to count."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

#: A house with a main on 4 AWG copper; its electrodes are added.
HOUSE = """
buildings.house = { use = "dwelling", floor_area_ft2 = 1000 }
equipment.main = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 100 }
runs.service = { from = "utility", to = "main", owner = "customer", wires = 3, line_size = "4 AWG", metal = "copper", \
neutral_size = "4 AWG" }
"""
GOOD_ROD = 'kind = "rod", length_ft = 8, diameter_in = 0.625, spacing_ft = 6'


def electrodes(*each):
    """The house with electrodes e1, e2 ... joined to the main unless they say otherwise."""
    joined = 'building = "house", conductor_to = "main"'
    lines = (f"electrodes.e{n} = {{ {joined}, {more} }}" for n, more in enumerate(each, start=1))
    return HOUSE + "\n".join(lines) + "\n"


def rods(*more):
    return electrodes(*(f"{GOOD_ROD}, connected = true{', ' if each else ''}{each}" for each in more))


def one(facts):
    return electrodes(f"connected = true, {facts}")


def test_electrodes_present_are_joined_passes():
    assert not says("electrodes-present-are-joined", rods("", ""))


def test_electrodes_present_are_joined_fails():
    apart = electrodes(f"{GOOD_ROD}, connected = true", f"{GOOD_ROD}, connected = false")
    found = says("electrodes-present-are-joined", apart)
    assert [(f.verdict.value, f.where) for f in found] == [(MEND, "electrodes.e2")]


def test_electrodes_present_are_joined_asks_what_it_is_and_whether_it_is_joined():
    assert verdicts("electrodes-present-are-joined", electrodes("length_ft = 8")) == [ASK, ASK]


@pytest.mark.parametrize(
    ("frame", "expected"), [("true", [MEND]), ("false", []), ('"unknown"', [ASK])]
)  # fmt: skip
def test_electrodes_present_are_joined_looks_for_a_frame_in_the_earth(frame, expected):
    barn = rods("", "").replace('use = "dwelling"', f'use = "storage", metal_frame_in_earth = {frame}')
    assert verdicts("electrodes-present-are-joined", barn) == expected


def test_electrodes_present_are_joined_wants_one_at_every_service():
    assert verdicts("electrodes-present-are-joined", HOUSE) == [ASK]
    assert verdicts("electrodes-present-are-joined", installation(HOUSE), found=installation(HOUSE)) == [MEND]


def test_second_electrode_for_a_rod_passes():
    assert not says("second-electrode-for-a-rod", rods("", ""))
    # 25 ohm or less: common practice, NEC 250.53(A)(2).
    assert not says("second-electrode-for-a-rod", rods("resistance_ohm = 25"))


def test_second_electrode_for_a_rod_fails():
    assert verdicts("second-electrode-for-a-rod", rods("resistance_ohm = 26")) == [MEND]
    assert verdicts("second-electrode-for-a-rod", rods("")) == [MEND]


def test_rods_six_feet_apart_passes():
    assert not says("rods-six-feet-apart", rods("", ""))


def test_rods_six_feet_apart_fails():
    close = electrodes(f"{GOOD_ROD}, connected = true".replace("spacing_ft = 6", "spacing_ft = 5.9"))
    assert verdicts("rods-six-feet-apart", close) == [MEND]


def test_rods_six_feet_apart_asks_only_where_no_rod_was_measured():
    unmeasured = 'kind = "rod", length_ft = 8, diameter_in = 0.625, connected = true'
    assert verdicts("rods-six-feet-apart", electrodes(unmeasured, unmeasured)) == [ASK, ASK]
    assert not says("rods-six-feet-apart", electrodes(unmeasured, f"{unmeasured}, spacing_ft = 7"))
    assert not says("rods-six-feet-apart", electrodes(unmeasured))


def test_rod_length_passes():
    assert not says("rod-length", one('kind = "rod", length_ft = 8'))


def test_rod_length_fails():
    assert verdicts("rod-length", one('kind = "rod", length_ft = 6')) == [MEND]
    assert verdicts("rod-length", one('kind = "pipe"')) == [ASK]


def test_rod_length_is_not_asked_where_two_new_rods_stand_beside_it():
    new = f"{GOOD_ROD}, connected = true, is_new = true"
    found = installation(one('kind = "rod"'))
    assert not says("rod-length", installation(electrodes('kind = "rod", connected = true', new, new)), found=found)


def test_rod_diameter_passes():
    assert not says("rod-diameter", one('kind = "rod", diameter_in = 0.625'))


def test_rod_diameter_fails():
    assert verdicts("rod-diameter", one('kind = "rod", diameter_in = 0.375')) == [MEND]
    # Half an inch serves only where it is listed.
    assert verdicts("rod-diameter", one('kind = "rod", diameter_in = 0.5')) == [ASK]
    assert verdicts("rod-diameter", one('kind = "rod"')) == [ASK]


PIPE = 'kind = "metal water pipe", earth_contact_ft = 40, connected = true'


def test_water_pipe_supplemented_passes():
    rod = f"{GOOD_ROD}, connected = true"
    assert not says("water-pipe-supplemented", electrodes(PIPE, rod, rod))


def test_water_pipe_supplemented_fails():
    assert verdicts("water-pipe-supplemented", electrodes(PIPE)) == [MEND]


def test_water_pipe_connected_near_entry_passes():
    assert not says("water-pipe-connected-near-entry", electrodes(f"{PIPE}, connection_from_entry_ft = 5"))


def test_water_pipe_connected_near_entry_fails():
    assert verdicts("water-pipe-connected-near-entry", electrodes(f"{PIPE}, connection_from_entry_ft = 6")) == [MEND]
    assert verdicts("water-pipe-connected-near-entry", electrodes(PIPE)) == [ASK]


def test_water_meter_jumper_passes():
    assert not says("water-meter-jumper", electrodes(f"{PIPE}, meter_jumper = true"))


def test_water_meter_jumper_fails():
    # 4 AWG copper lines: 8 AWG copper to a water pipe, and the jumper as large.
    (found,) = says("water-meter-jumper", electrodes(f"{PIPE}, meter_jumper = false"))
    assert found.verdict.value == MEND
    assert "8 AWG copper" in found.mend
    assert verdicts("water-meter-jumper", electrodes(PIPE)) == [ASK]


FOOTING = 'kind = "concrete-encased", length_ft = 20'


def test_concrete_encased_electrode_used_passes():
    assert not says("concrete-encased-electrode-used", electrodes(f"{FOOTING}, connected = true"))


@pytest.mark.parametrize(("reachable", "expected"), [("true", [MEND]), ("false", [KNOW]), ('"unknown"', [ASK])])
def test_concrete_encased_electrode_used_by_whether_it_can_be_reached(reachable, expected):
    left_out = f"{FOOTING}, connected = false, reachable_without_breaking_concrete = {reachable}"
    assert verdicts("concrete-encased-electrode-used", electrodes(left_out)) == expected


def test_concrete_encased_electrode_used_fails():
    reachable = f"{FOOTING}, connected = false, reachable_without_breaking_concrete = true"
    assert verdicts("concrete-encased-electrode-used", electrodes(reachable)) == [MEND]
    assert verdicts("concrete-encased-electrode-used", electrodes(FOOTING)) == [ASK]


GAS = 'bonds.gas = { kind = "gas piping", building = "house", present = true }\n'


def test_gas_pipe_is_no_electrode_passes():
    assert not says("gas-pipe-is-no-electrode", rods("", "") + GAS)


def test_gas_pipe_is_no_electrode_fails():
    assert verdicts("gas-pipe-is-no-electrode", HOUSE + GAS) == [MEND]


def with_test(points, more=""):
    rows = ", ".join(f"{{ distance_ft = {d}, resistance_ohm = {ohm} }}" for d, ohm in points)
    return (
        'equipment.panel = { kind = "panel" }\n'
        f'electrodes.rod = {{ kind = "rod", current_probe_ft = 100, fall_of_potential = [{rows}]{more} }}\n'
    )


# A plateau: readings between 52 and 72 percent of the way within a tenth. Common practice.
def test_electrode_test_can_be_believed_passes():
    flat = [(30, 20), (52, 24), (62, 24.5), (72, 25), (90, 40)]
    assert verdicts("electrode-test-can-be-believed", with_test(flat)) == []
    assert verdicts("electrode-test-can-be-believed", with_test(flat, ", resistance_ohm = 24")) == []


def test_electrode_test_can_be_believed_fails():
    steep = [(30, 10), (52, 18), (62, 24), (72, 31), (90, 60)]
    assert verdicts("electrode-test-can-be-believed", with_test(steep)) == ["must be asked"]
    assert verdicts("electrode-test-can-be-believed", with_test([(20, 10), (40, 12)])) == ["must be asked"]
    flat = [(30, 20), (52, 24), (62, 24.5), (72, 25), (90, 40)]
    assert verdicts("electrode-test-can-be-believed", with_test(flat, ", resistance_ohm = 9")) == ["must be asked"]
