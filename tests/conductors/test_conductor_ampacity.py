import pytest
from conductor_jobs import EDITIONS, NEC_2017, NEC_2020, NEC_2023

from driploop.conductors import (
    CableLimit,
    Terminal,
    ampacity,
    insulation_class,
    terminal_temperature,
)
from driploop.editions import NotInTable, load_edition


def test_the_terminals_bind_before_the_insulation():
    # 2/0 copper: 195 A at 90 C, 175 A at 75 C (ampacity table).
    answer = ampacity("2/0 AWG", metal="copper", insulation="THWN-2", terminal_c=75, edition=NEC_2020)
    assert (answer.corrected_a, answer.usable_a) == (195, 175)
    assert answer.worksheet.lines[-1].result.value == 175


def test_correction_starts_from_the_insulations_own_column():
    # 4/0 aluminum 90 C: 205 A x 0.82 at 46-50 C x 80 % for four to six = 134.48 A, under the 75 C column's 180 A.
    answer = ampacity(
        "4/0 AWG", metal="aluminum", insulation="XHHW-2", terminal_c=75, ambient_c=50, current_carrying=4,
        edition=NEC_2020,
    )  # fmt: skip
    assert answer.usable_a == pytest.approx(134.48)


def test_an_ambient_between_two_ranges_takes_the_hotter():
    at = [
        ampacity("4 AWG", metal="copper", insulation="THW", terminal_c=75, ambient_c=c, edition=NEC_2020).corrected_a
        for c in (40, 40.5, 41)
    ]
    assert at[0] > at[1] == at[2]


def test_an_insulation_too_weak_for_the_heat_is_refused_in_words():
    with pytest.raises(NotInTable, match="no value there"):
        ampacity("4 AWG", metal="copper", insulation="TW", terminal_c=60, ambient_c=58, edition=NEC_2020)


def test_an_unknown_insulation_is_the_lowest_and_says_so():
    answer = ampacity("4 AWG", metal="copper", insulation=None, terminal_c=75, edition=NEC_2020)
    assert answer.insulation_c == 60
    assert answer.usable_a == 70
    assert answer.assumptions[0].assumed == "60 C insulation"


@pytest.mark.parametrize(
    ("name", "dry", "wet"),
    # From memory of the code's table of conductor applications.
    [("TW", 60, 60), ("THW", 75, 75), ("XHHW", 90, 75), ("XHHW-2", 90, 90), ("THWN", 75, 75), ("USE-2", 90, 90),
     ("RHH", 90, 60), ("THHN", 90, 60), ("rubber and cloth", 60, 60)],
)  # fmt: skip
def test_insulation_classes(name, dry, wet):
    assert insulation_class(name, wet=False) == dry
    assert insulation_class(name, wet=True) == wet


def test_an_unknown_insulation_name_is_refused_with_the_names():
    with pytest.raises(NotInTable, match="THWN-2"):
        insulation_class("THQN", wet=False)


def test_nonmetallic_cable_stays_in_its_column():
    # 6 copper: 55 A at 60 C though its insulation is 90 C.
    limit = CableLimit(60, NEC_2020.section("nm-sixty"))
    answer = ampacity("6 AWG", metal="copper", insulation="THHN", terminal_c=75, limit=limit, edition=NEC_2020)
    assert (answer.usable_a, answer.terminal_c) == (55, 60)
    assert answer.worksheet.lines[-2].what == "Limit of the cable"


def test_a_cable_limit_may_bind_small_sizes_alone():
    limit = CableLimit(60, "", largest="10 AWG")
    small = ampacity("10 AWG", metal="copper", insulation="XHHW-2", terminal_c=75, limit=limit, edition=NEC_2020)
    large = ampacity("8 AWG", metal="copper", insulation="XHHW-2", terminal_c=75, limit=limit, edition=NEC_2020)
    assert (small.terminal_c, large.terminal_c) == (60, 75)


@pytest.mark.parametrize(
    ("circuit_a", "marked", "is_new", "column"),
    [(100, None, False, 60), (100, 75, False, 75), (100, None, True, 75), (101, None, False, 75), (125, 60, False, 60),
     (60, 90, False, 75), (400, 90, True, 75)],
)  # fmt: skip
def test_terminals(circuit_a, marked, is_new, column):
    for edition in EDITIONS:
        found = terminal_temperature(circuit_a, [Terminal("panel", marked, is_new)], edition=load_edition(edition))
        assert found.temperature_c == column


def test_the_lower_of_two_ends_binds():
    ends = [Terminal("meter", 75), Terminal("panel", None)]
    found = terminal_temperature(60, ends, edition=NEC_2017)
    assert found.temperature_c == 60
    assert found.unread == ("panel",)


def test_new_equipment_is_named_as_taken_for_marked():
    found = terminal_temperature(60, [Terminal("panel", None, is_new=True)], edition=NEC_2023)
    assert found.assumed_new == ("panel",)
