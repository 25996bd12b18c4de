"""Grounding and bonding tables, typed in again from the published sources, not copied from the data files.

- Table 250.66: cooper-electric.com, service equipment grounding table. The page prints 1 AWG as the end of the first
  aluminum row; 1/0 AWG, as the other sources have it, is held here.
- Table 250.102(C)(1): thebuildingcodeforum.com thread 26483 and forums.mikeholt.com 27781.
- Table 250.122: mikeholt.com newsletter 212 (copper to 1200 A); aluminum of 4000 A and more from memory.
"""

import pytest

from driploop.editions import edition_names, load_edition

# largest copper, largest aluminum of the row, then the copper and the aluminum conductor.
TABLE_250_66 = [
    ("2 AWG", "1/0 AWG", "8 AWG", "6 AWG"),
    ("1/0 AWG", "3/0 AWG", "6 AWG", "4 AWG"),
    ("3/0 AWG", "250 kcmil", "4 AWG", "2 AWG"),
    ("350 kcmil", "500 kcmil", "2 AWG", "1/0 AWG"),
    ("600 kcmil", "900 kcmil", "1/0 AWG", "3/0 AWG"),
    ("1100 kcmil", "1750 kcmil", "2/0 AWG", "4/0 AWG"),
    (None, None, "3/0 AWG", "250 kcmil"),
]
TABLE_250_122 = {
    15: ("14 AWG", "12 AWG"),
    20: ("12 AWG", "10 AWG"),
    60: ("10 AWG", "8 AWG"),
    100: ("8 AWG", "6 AWG"),
    200: ("6 AWG", "4 AWG"),
    300: ("4 AWG", "2 AWG"),
    400: ("3 AWG", "1 AWG"),
    500: ("2 AWG", "1/0 AWG"),
    600: ("1 AWG", "2/0 AWG"),
    800: ("1/0 AWG", "3/0 AWG"),
    1000: ("2/0 AWG", "4/0 AWG"),
    1200: ("3/0 AWG", "250 kcmil"),
    1600: ("4/0 AWG", "350 kcmil"),
    2000: ("250 kcmil", "400 kcmil"),
    2500: ("350 kcmil", "600 kcmil"),
    3000: ("400 kcmil", "600 kcmil"),
    4000: ("500 kcmil", "750 kcmil"),
    5000: ("700 kcmil", "1250 kcmil"),
    6000: ("800 kcmil", "1250 kcmil"),
}
SIZES = ("copper_to", "aluminum_to", "copper", "aluminum")


@pytest.mark.parametrize("name", edition_names())
def test_the_electrode_conductor_table_is_the_printed_one(name):
    table = load_edition(name).table("grounding_electrode_conductor")
    assert [tuple(row[column] for column in SIZES) for row in table.rows] == TABLE_250_66
    assert table.section == "Table 250.66"


@pytest.mark.parametrize("name", edition_names())
def test_the_bonding_jumper_table_is_the_printed_one(name):
    table = load_edition(name).table("bonding_jumper")
    # The same rows as 250.66 until the last, which asks for 12.5 percent of the area.
    assert [tuple(row[column] for column in SIZES) for row in table.rows[:-1]] == TABLE_250_66[:-1]
    assert [table.rows[-1][column] for column in (*SIZES, "percent")] == [None, None, None, None, 12.5]
    assert table.section == "Table 250.102(C)(1)"


@pytest.mark.parametrize("name", edition_names())
def test_the_equipment_grounding_table_is_the_printed_one(name):
    table = load_edition(name).table("equipment_grounding_conductor")
    assert {row["ocpd_to_a"]: (row["copper"], row["aluminum"]) for row in table.rows} == TABLE_250_122
    assert table.section == "Table 250.122"


@pytest.mark.parametrize("name", edition_names())
def test_a_200_a_house_gets_the_conductors_everyone_knows(name):
    # constructioninspectiontips.com panel upgrade: 200 A, 4 AWG copper or 2 AWG aluminum to the water pipe.
    table = load_edition(name).table("grounding_electrode_conductor")
    assert table.at_least("copper_to_cmil", 133_100)["copper"] == "4 AWG"
    assert table.at_least("aluminum_to_cmil", 211_600)["aluminum"] == "2 AWG"


@pytest.mark.parametrize("name", edition_names())
def test_what_electrodes_ask_for(name):
    edition = load_edition(name)
    # up.codes, rod, pipe and plate electrode requirements: 6 AWG copper, 4 AWG aluminum, 6 ft, 8 ft.
    assert edition.value("gec_to_rod_copper").value == "6 AWG"
    assert edition.value("gec_to_rod_aluminum").value == "4 AWG"
    assert edition.number("rod_spacing_ft") == 6
    assert edition.number("rod_length_ft") == 8
    # sanjoseca.gov, electrical service panel upgrades: 25 ohm.
    assert edition.number("rod_resistance") == 25
    # constructioninspectiontips.com: 20 ft of 4 AWG copper. 4 AWG as the most needed to it: from memory.
    assert edition.number("concrete_encased_ft") == 20
    assert edition.value("gec_to_concrete_encased_copper").value == "4 AWG"
