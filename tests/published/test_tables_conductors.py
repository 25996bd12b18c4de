"""Ampacity and dwelling conductor tables, typed in again from the published sources, not copied from the data files.

- Table 310.16 (NFPA 70-2020; 310.15(B)(16) in 2017): scribd.com/document/602627451, rows 18 AWG to 600 kcmil; the
  rows above 600 kcmil from public source excerpts that agree with each other.
- Table 310.12 (NFPA 70-2020): elliottelectric.com, "Single Phase Residential Dwelling Services and Feeders".
"""

import pytest

from driploop.editions import edition_names, load_edition

# size: copper 60, 75, 90 C, aluminum 60, 75, 90 C; 0 where the table has no value.
TABLE_310_16 = {
    "18 AWG": (0, 0, 14, 0, 0, 0),
    "16 AWG": (0, 0, 18, 0, 0, 0),
    "14 AWG": (15, 20, 25, 0, 0, 0),
    "12 AWG": (20, 25, 30, 15, 20, 25),
    "10 AWG": (30, 35, 40, 25, 30, 35),
    "8 AWG": (40, 50, 55, 35, 40, 45),
    "6 AWG": (55, 65, 75, 40, 50, 55),
    "4 AWG": (70, 85, 95, 55, 65, 75),
    "3 AWG": (85, 100, 115, 65, 75, 85),
    "2 AWG": (95, 115, 130, 75, 90, 100),
    "1 AWG": (110, 130, 145, 85, 100, 115),
    "1/0 AWG": (125, 150, 170, 100, 120, 135),
    "2/0 AWG": (145, 175, 195, 115, 135, 150),
    "3/0 AWG": (165, 200, 225, 130, 155, 175),
    "4/0 AWG": (195, 230, 260, 150, 180, 205),
    "250 kcmil": (215, 255, 290, 170, 205, 230),
    "300 kcmil": (240, 285, 320, 195, 230, 260),
    "350 kcmil": (260, 310, 350, 210, 250, 280),
    "400 kcmil": (280, 335, 380, 225, 270, 305),
    "500 kcmil": (320, 380, 430, 260, 310, 350),
    "600 kcmil": (350, 420, 475, 285, 340, 385),
    "700 kcmil": (385, 460, 520, 315, 375, 425),
    "750 kcmil": (400, 475, 535, 320, 385, 435),
    "800 kcmil": (410, 490, 555, 330, 395, 445),
    "900 kcmil": (435, 520, 585, 355, 425, 480),
    "1000 kcmil": (455, 545, 615, 375, 445, 500),
    "1250 kcmil": (495, 590, 665, 405, 485, 545),
    "1500 kcmil": (525, 625, 705, 435, 520, 585),
    "1750 kcmil": (545, 650, 735, 455, 545, 615),
    "2000 kcmil": (555, 665, 750, 470, 560, 630),
}
COLUMNS = ("copper_60c", "copper_75c", "copper_90c", "aluminum_60c", "aluminum_75c", "aluminum_90c")

TABLE_310_12 = {
    100: ("4 AWG", "2 AWG"),
    110: ("3 AWG", "1 AWG"),
    125: ("2 AWG", "1/0 AWG"),
    150: ("1 AWG", "2/0 AWG"),
    175: ("1/0 AWG", "3/0 AWG"),
    200: ("2/0 AWG", "4/0 AWG"),
    225: ("3/0 AWG", "250 kcmil"),
    250: ("4/0 AWG", "300 kcmil"),
    300: ("250 kcmil", "350 kcmil"),
    350: ("350 kcmil", "500 kcmil"),
    400: ("400 kcmil", "600 kcmil"),
}

# NFPA 70 table of adjustment, buildmyowncabin.com nec2014_table310.15(b)(3)(a).
ADJUSTMENT = {4: 80, 6: 80, 7: 70, 9: 70, 10: 50, 20: 50, 21: 45, 30: 45, 31: 40, 40: 40, 41: 35, 200: 35}


@pytest.mark.parametrize("name", edition_names())
def test_the_ampacity_table_is_the_printed_one(name):
    table = load_edition(name).table("conductor_ampacity")
    assert table.column("size") == list(TABLE_310_16)
    for size, printed in TABLE_310_16.items():
        row = table.row(size=size)
        assert tuple(row[column] or 0 for column in COLUMNS) == printed, size


@pytest.mark.parametrize("name", edition_names())
def test_the_dwelling_conductor_table_is_the_printed_one(name):
    table = load_edition(name).table("dwelling_service_conductors")
    assert {row["rating_a"]: (row["copper"], row["aluminum"]) for row in table.rows} == TABLE_310_12


@pytest.mark.parametrize("name", edition_names())
def test_adjustment_for_many_conductors_is_the_printed_one(name):
    table = load_edition(name).table("conductor_adjustment")
    read = {n: table.within("conductors_from", "conductors_to", n)["percent"] for n in ADJUSTMENT}
    assert read == ADJUSTMENT


def test_the_tables_carry_the_number_of_their_edition():
    # 2017 numbers its ampacity tables inside 310.15(B); 2020 gave them numbers of their own.
    assert load_edition("NEC 2017").section("conductor_ampacity") == "Table 310.15(B)(16)"
    assert load_edition("NEC 2020").section("conductor_ampacity") == "Table 310.16"
    assert load_edition("NEC 2017").section("dwelling_service_conductors") == "310.15(B)(7)"
    assert load_edition("NEC 2020").section("dwelling_service_conductors") == "Table 310.12"
    assert load_edition("NEC 2023").section("dwelling_service_conductors") == "Table 310.12(A)"
