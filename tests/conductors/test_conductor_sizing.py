import pytest
from conductor_jobs import EDITIONS, NEC_2017, NEC_2020, NEC_2023

from driploop.conductors import (
    NoConductorError,
    conductor_for_rating,
    equal_in_other_metal,
    equipment_grounding_conductor,
    grounded_conductor,
    grounded_minimum,
    size_of_area,
)
from driploop.editions import NotInTable, load_edition


def choose(rating_a, load_a, *, metal="copper", insulation="THWN-2", edition=NEC_2020, **more):
    return conductor_for_rating(rating_a, load_a, metal=metal, insulation=insulation, edition=edition, **more)


# --- dwelling rule ---------------------------------------------------------------------------------------------------

# NFPA 70-2020 Table 310.12, typed in again from the page read at elliottelectric.com, not copied from the data file.
DWELLING = [
    (100, "4 AWG", "2 AWG"), (110, "3 AWG", "1 AWG"), (125, "2 AWG", "1/0 AWG"), (150, "1 AWG", "2/0 AWG"),
    (175, "1/0 AWG", "3/0 AWG"), (200, "2/0 AWG", "4/0 AWG"), (225, "3/0 AWG", "250 kcmil"),
    (250, "4/0 AWG", "300 kcmil"), (300, "250 kcmil", "350 kcmil"), (350, "350 kcmil", "500 kcmil"),
    (400, "400 kcmil", "600 kcmil"),
]  # fmt: skip


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("rating_a", "copper", "aluminum"), DWELLING)
def test_the_dwelling_table(edition, rating_a, copper, aluminum):
    for metal, size in (("copper", copper), ("aluminum", aluminum)):
        answer = choose(
            rating_a, rating_a * 0.9, metal=metal, whole_dwelling=True, terminal_c=75, edition=load_edition(edition)
        )
        assert answer.size == size
        assert answer.basis == "dwelling table"
        assert answer.worksheet.line("line_size").result.value == size


def test_a_rating_between_the_rows_takes_the_share_itself():
    # 320 A x 83 % = 265.6 A: 300 kcmil copper carries 285 A, 250 kcmil 255 A.
    answer = choose(320, 300, whole_dwelling=True)
    assert (answer.size, answer.basis) == ("300 kcmil", "dwelling table")


def test_heat_takes_the_table_away_but_not_the_share():
    # 166 A needed at 41-45 C: 2/0 copper 195 A x 0.87 = 169.7 A still serves; at 46-50 C 159.9 A does not, 3/0 does.
    assert choose(200, 150, whole_dwelling=True, ambient_c=45).size == "2/0 AWG"
    assert choose(200, 150, whole_dwelling=True, ambient_c=50).size == "3/0 AWG"


def test_terminals_of_60_c_take_the_table_away():
    # 83 A needed in the 60 C column: 4 copper 70 A, 3 copper 85 A.
    assert choose(100, 80, whole_dwelling=True, terminal_c=60).size == "3 AWG"


@pytest.mark.parametrize("rating_a", [90, 450])
def test_outside_100_to_400_a_the_share_does_not_hold(rating_a):
    dwelling = choose(rating_a, 80, whole_dwelling=True, terminal_c=75)
    assert dwelling.basis == "ampacity"
    assert dwelling.size == choose(rating_a, 80, whole_dwelling=False, terminal_c=75).size


def test_more_load_than_the_rating_gets_no_dwelling_size():
    assert choose(200, 210, whole_dwelling=True).basis == "ampacity"


# --- by ampacity -----------------------------------------------------------------------------------------------------


def test_parallel_sets_share_the_load_and_are_never_small():
    # 400 A in two sets: each 200 A at 75 C: 3/0 copper. 200 A in two sets: least parallel size 1/0.
    assert choose(400, 390, sets=2).size == "3/0 AWG"
    assert choose(200, 190, sets=2).size == "1/0 AWG"


def test_over_800_a_the_device_may_not_be_rounded_up():
    # 1000 A in three sets: 333.4 A each: 400 kcmil copper 335 A.
    assert choose(1000, 900, sets=3).size == "400 kcmil"


def test_no_conductor_is_refused_in_words():
    with pytest.raises(NoConductorError, match="parallel sets"):
        choose(1200, 1100)


def test_an_unknown_insulation_never_gives_a_smaller_wire():
    assert choose(200, 180, insulation=None).size == "4/0 AWG"
    assert choose(200, 180).size == "3/0 AWG"


# --- neutral ---------------------------------------------------------------------------------------------------------


def neutral(load_a, *, service=True, **more):
    fixed = {"line_size": "4/0 AWG", "line_metal": "aluminum", "metal": "aluminum", "insulation_c": 90}
    return grounded_conductor(load_a, service=service, terminal_c=75, edition=NEC_2023, **(fixed | more)).size


def test_the_neutral_of_a_service_never_goes_below_its_table():
    # 4/0 aluminum lines: 2 aluminum by Table 250.102(C)(1), whatever the load.
    assert neutral(5) == "2 AWG"
    assert neutral(120) == "1/0 AWG"
    assert neutral(121) == "2/0 AWG"


def test_the_neutral_of_a_feeder_never_goes_below_a_grounding_conductor():
    # 200 A device: 4 aluminum by Table 250.122; 5 A of load asks for less.
    assert neutral(5, service=False, device_a=200) == "4 AWG"


def test_the_neutral_is_no_larger_than_the_lines():
    assert neutral(185) == "4/0 AWG"


def test_the_table_past_its_end_takes_a_share_of_the_area():
    # 1250 kcmil copper x 12.5 % = 156,250 cmil: 3/0 AWG (167,800).
    assert grounded_minimum("1250 kcmil", line_metal="copper", metal="copper", edition=NEC_2020).value == "3/0 AWG"


def test_parallel_neutrals_are_at_least_1_0():
    assert grounded_minimum("2/0 AWG", line_metal="copper", metal="copper", sets=2, edition=NEC_2020).value == "1/0 AWG"


# --- equipment ground ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ocpd_a", "copper", "aluminum"),
    # NFPA 70 Table 250.122, typed in again from the pages read at mikeholt.com (newsletter 212).
    [(15, "14 AWG", "12 AWG"), (60, "10 AWG", "8 AWG"), (100, "8 AWG", "6 AWG"), (125, "6 AWG", "4 AWG"),
     (200, "6 AWG", "4 AWG"), (225, "4 AWG", "2 AWG"), (400, "3 AWG", "1 AWG")],
)  # fmt: skip
def test_equipment_ground_by_device(ocpd_a, copper, aluminum):
    for name in EDITIONS:
        edition = load_edition(name)
        assert equipment_grounding_conductor(ocpd_a, "copper", edition=edition).size == copper
        assert equipment_grounding_conductor(ocpd_a, "aluminum", edition=edition).size == aluminum


def test_in_step_never_larger_than_the_lines():
    # 20 A on 12 copper where 8 is pulled: 6,530 x 16,510/6,530 cmil is 8 AWG again.
    grown = equipment_grounding_conductor(
        20, "copper", upsized=("12 AWG", "8 AWG"), line_metal="copper", edition=NEC_2017
    )
    assert grown.size == "8 AWG"
    assert grown.worksheet.line("egc_size").result.section == "250.122(B)"


def test_lines_no_larger_than_needed_change_nothing():
    assert equipment_grounding_conductor(100, "copper", upsized=("3 AWG", "3 AWG"), edition=NEC_2020).size == "8 AWG"


def test_past_the_table_is_refused_in_words():
    with pytest.raises(NotInTable, match="7000"):
        equipment_grounding_conductor(7000, "copper", edition=NEC_2020)


# --- areas -----------------------------------------------------------------------------------------------------------


def test_the_other_metals_equal():
    # 4/0 aluminum carries 180 A at 75 C: 3/0 copper (200 A), since 2/0 carries 175 A.
    assert equal_in_other_metal("4/0 AWG", metal="aluminum", other="copper", edition=NEC_2020) == "3/0 AWG"
    assert equal_in_other_metal("2/0 AWG", metal="copper", other="copper", edition=NEC_2020) == "2/0 AWG"


def test_the_size_of_an_area():
    assert size_of_area(58_436, edition=NEC_2020) == "2 AWG"
    with pytest.raises(NotInTable, match="use sets"):
        size_of_area(3e6, edition=NEC_2020)
