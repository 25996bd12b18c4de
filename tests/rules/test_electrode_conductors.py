"""The conductors to the electrodes."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts
from .test_electrodes import HOUSE, electrodes, one

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

PIPE = 'kind = "metal water pipe", earth_contact_ft = 40'
ROD = 'kind = "rod", length_ft = 8, diameter_in = 0.625'


def test_electrode_conductor_size_passes():
    # 4 AWG copper lines: 8 AWG copper, 6 AWG aluminum.
    assert not says("electrode-conductor-size", one(f'{PIPE}, conductor_size = "8 AWG", conductor_metal = "copper"'))


def test_electrode_conductor_size_fails():
    thin = f'{PIPE}, conductor_size = "8 AWG", conductor_metal = "aluminum"'
    assert verdicts("electrode-conductor-size", one(thin)) == [MEND]
    assert verdicts("electrode-conductor-size", one(PIPE)) == [ASK]


def test_electrode_conductor_size_is_not_asked_of_a_conductor_that_will_be_run_anew():
    found = installation(
        one(f'{PIPE}, conductor_size = "10 AWG"').replace('conductor_to = "main"', 'conductor_to = "old"')
    )
    assert not says("electrode-conductor-size", installation(one(PIPE)), found=found)


def test_electrode_conductor_not_spliced_passes():
    assert not says("electrode-conductor-not-spliced", one(f'{PIPE}, splice = "irreversible"'))


def test_electrode_conductor_not_spliced_fails():
    assert verdicts("electrode-conductor-not-spliced", one(f'{PIPE}, splice = "ordinary clamp"')) == [MEND]
    assert verdicts("electrode-conductor-not-spliced", one(PIPE)) == [ASK]


def test_aluminum_electrode_conductor_out_of_earth_passes():
    high = f'{ROD}, conductor_metal = "aluminum", conductor_above_earth_in = 18'
    assert not says("aluminum-electrode-conductor-out-of-earth", one(high))
    copper = f'{ROD}, conductor_metal = "copper", conductor_above_earth_in = 0'
    assert not says("aluminum-electrode-conductor-out-of-earth", one(copper))


def test_aluminum_electrode_conductor_out_of_earth_fails():
    low = f'{ROD}, conductor_metal = "aluminum", conductor_above_earth_in = 17'
    assert verdicts("aluminum-electrode-conductor-out-of-earth", one(low)) == [MEND]
    assert verdicts("aluminum-electrode-conductor-out-of-earth", one(f'{ROD}, conductor_metal = "aluminum"')) == [ASK]


def test_a_low_electrode_conductor_of_unread_metal_is_asked_about():
    assert verdicts("aluminum-electrode-conductor-out-of-earth", one(f"{ROD}, conductor_above_earth_in = 17")) == [ASK]
    assert verdicts("aluminum-electrode-conductor-out-of-earth", one(f"{ROD}, conductor_above_earth_in = 18")) == []


def test_electrode_conductor_protected_passes():
    safe = f'{ROD}, conductor_size = "8 AWG", conductor_protected = true'
    assert not says("electrode-conductor-protected", one(safe))


@pytest.mark.parametrize(("size", "expected"), [("8 AWG", [MEND]), ("6 AWG", [KNOW]), ("4 AWG", [KNOW])])
def test_electrode_conductor_protected_fails_below_six_and_is_told_from_there(size, expected):
    bare = f'{ROD}, conductor_size = "{size}", conductor_protected = false'
    assert verdicts("electrode-conductor-protected", one(bare)) == expected


def test_electrode_conductor_protected_fails():
    assert verdicts("electrode-conductor-protected", one(f'{ROD}, conductor_size = "8 AWG"')) == [ASK]
    assert verdicts("electrode-conductor-protected", one(f"{ROD}, conductor_protected = false")) == [ASK]


def test_steel_sleeve_bonded_both_ends_passes():
    bonded = f"{PIPE}, conductor_protected = true, steel_raceway_bonded_both_ends = true"
    assert not says("steel-sleeve-bonded-both-ends", one(bonded))
    assert not says("steel-sleeve-bonded-both-ends", one(PIPE))


def test_steel_sleeve_bonded_both_ends_fails():
    assert verdicts("steel-sleeve-bonded-both-ends", one(f"{PIPE}, steel_raceway_bonded_both_ends = false")) == [MEND]
    assert verdicts("steel-sleeve-bonded-both-ends", one(f"{PIPE}, conductor_protected = true")) == [ASK]


def test_buried_clamp_listed_passes():
    assert not says("buried-clamp-listed", one(f"{ROD}, clamp_listed_for_burial = true"))
    assert not says("buried-clamp-listed", one(f"{PIPE}, clamp_listed_for_burial = false"))


def test_buried_clamp_listed_fails():
    assert verdicts("buried-clamp-listed", one(f"{ROD}, clamp_listed_for_burial = false")) == [MEND]
    assert verdicts("buried-clamp-listed", one(ROD)) == [ASK]


SUB = """
equipment.sub = { kind = "panel", building = "house", rating_a = 60 }
runs.feeder = { from = "main", to = "sub", wires = 4 }
"""


def test_electrode_conductor_lands_at_service_passes():
    assert not says("electrode-conductor-lands-at-service", one(PIPE))
    meter = one(PIPE).replace('conductor_to = "main"', 'conductor_to = "meter"')
    ahead = meter.replace('from = "utility"', 'from = "meter"') + 'equipment.meter = { kind = "meter" }\n'
    assert not says("electrode-conductor-lands-at-service", ahead + 'runs.drop = { from = "utility", to = "meter" }\n')


def test_electrode_conductor_lands_at_service_fails():
    past = one(PIPE).replace('conductor_to = "main"', 'conductor_to = "sub"') + SUB
    (found,) = says("electrode-conductor-lands-at-service", past)
    assert (found.verdict.value, found.where) == (MEND, "electrodes.e1.conductor_to")


def test_electrode_conductor_lands_at_service_asks_where_it_was_not_followed():
    lost = electrodes(f"{PIPE}, connected = true").replace('conductor_to = "main", ', "")
    assert verdicts("electrode-conductor-lands-at-service", lost) == [ASK]
    assert not says("electrode-conductor-lands-at-service", HOUSE)


def test_at_a_fed_building_the_landing_stands_in_the_section_on_buildings():
    shed = (
        'buildings.shed = { use = "storage" }\nequipment.box = { kind = "panel", building = "shed" }\n'
        'equipment.more = { kind = "panel", building = "shed" }\nruns.out = { from = "main", to = "box" }\n'
        'runs.on = { from = "box", to = "more" }\n'
        'electrodes.rod = { kind = "rod", building = "shed", connected = true, conductor_to = "more" }\n'
    )
    (told,) = says("electrode-conductor-lands-at-service", HOUSE + shed)
    assert told.section == "250.32(A)"
