"""Agricultural buildings, one by one."""

import pytest

from driploop.editions import NotInTable, load_edition
from driploop.grounding import agricultural_scope, distribution_equipment_ground
from driploop.installation import Building

NEC = load_edition("2023")


@pytest.mark.parametrize(
    ("fields", "applies"),
    [
        ({"use": "livestock"}, True),
        ({"use": "poultry"}, True),
        ({"use": "dwelling"}, False),
        ({"use": "workshop"}, False),
        ({"use": "workshop", "dusty": True}, True),
        ({"use": "garage", "wet": True}, False),
        ({"use": "agricultural", "dusty": False, "corrosive": False, "wet": False}, False),
        ({"use": "agricultural", "dusty": True, "corrosive": False, "wet": False}, True),
        ({"use": "agricultural"}, True),
        ({}, True),
    ],
)
def test_scope_is_decided_building_by_building(fields, applies):
    assert agricultural_scope(Building(id="it", **fields), edition=NEC).applies is applies


def test_an_unknown_air_is_assumed_and_told_of():
    scope = agricultural_scope(Building(id="barn", use="agricultural", dusty=False), edition=NEC)
    assert {a.where for a in scope.assumptions} == {"buildings.barn.corrosive", "buildings.barn.wet"}


def test_the_ground_from_a_distribution_point_is_as_large_as_the_lines():
    assert distribution_equipment_ground("4/0 AWG", "aluminum", metal="aluminum", edition=NEC).size == "4/0 AWG"
    # Beside each other in Table 250.122: 4/0 aluminum and 2/0 copper.
    copper = distribution_equipment_ground("4/0 AWG", "aluminum", metal="copper", edition=NEC)
    assert copper.size == "2/0 AWG"
    assert copper.worksheet.line("egc").result.value == "2/0 AWG"
    assert copper.section == "547.42"


def test_lines_larger_than_the_table_are_refused_in_words():
    with pytest.raises(NotInTable, match="run sets"):
        distribution_equipment_ground("2000 kcmil", "aluminum", metal="copper", edition=NEC)
