"""Every reason why a layout may not stand, each with a layout that has it and one that has not."""

from __future__ import annotations

import pytest

from driploop.panel import PanelProblem, Place, illegal
from panel.boxes import box, double, problem, single


def two_and_a_double(**said: object) -> PanelProblem:
    return problem(box(8, **said), single("one"), single("two"), double("pump"))


GOOD = (Place("one", (1,)), Place("two", (3,)), Place("pump", (2, 4)))


def only(reasons: tuple[str, ...]) -> str:
    assert len(reasons) == 1, reasons
    return reasons[0]


def test_a_lawful_layout_has_no_reasons_against_it() -> None:
    assert illegal(two_and_a_double(), GOOD) == ()


def test_every_circuit_has_one_place() -> None:
    posed = two_and_a_double()
    assert "has no places" in only(illegal(posed, GOOD[1:]))
    assert "has 2 places" in only(illegal(posed, (*GOOD, Place("one", (8,)))))
    assert "no such circuit" in only(illegal(posed, (*GOOD, Place("stove", (8,)))))


@pytest.mark.parametrize("spaces", [(2, 3), (2, 6), (1, 2)])
def test_two_poles_stand_one_above_the_other_on_one_side(spaces: tuple[int, int]) -> None:
    posed = problem(box(8), double("pump"))
    assert "one above the other" in only(illegal(posed, (Place("pump", spaces),)))


def test_two_poles_may_stand_the_other_way_up() -> None:
    assert illegal(problem(box(8), double("pump")), (Place("pump", (4, 2)),)) == ()


def test_a_double_needs_two_spaces_and_a_space_must_be_there() -> None:
    posed = problem(box(8), double("pump"))
    assert "2 poles on 1 spaces" in only(illegal(posed, (Place("pump", (2,)),)))
    assert "no space 10" in only(illegal(posed, (Place("pump", (8, 10)),)))


def test_three_poles_do_not_fit() -> None:
    three = single("lift", 1.0, poles=3)
    assert "3 poles do not fit" in only(illegal(problem(box(8), three), (Place("lift", (1, 3, 5)),)))


def test_two_breakers_do_not_share_a_space() -> None:
    posed = problem(box(8), single("one"), single("two"))
    assert "fit" in only(illegal(posed, (Place("one", (1,)), Place("two", (1,)))))


def test_tandems_only_where_listed_and_only_circuits_that_may() -> None:
    posed = problem(box(8, tandem_spaces=(7,), circuits_max=16), single("one", tandem=True), single("two", tandem=True))
    assert illegal(posed, (Place("one", (7,), "upper"), Place("two", (7,), "lower"))) == ()
    assert "lists none" in only(illegal(posed, (Place("one", (5,), "upper"), Place("two", (5,), "lower"))))
    heavy = problem(box(8, tandem_spaces=(7,), circuits_max=16), single("one"), single("two", tandem=True))
    assert "may not share" in only(illegal(heavy, (Place("one", (7,), "upper"), Place("two", (7,), "lower"))))


def test_a_multiwire_pair_is_on_both_lines_and_tied() -> None:
    posed = problem(box(8), single("one", partner="two"), single("two", partner="one"))
    assert illegal(posed, (Place("one", (3,)), Place("two", (1,)))) == ()
    assert "the sum, not the difference" in only(illegal(posed, (Place("one", (1,)), Place("two", (2,)))))
    assert "handle tie" in only(illegal(posed, (Place("one", (1,)), Place("two", (4,)))))


def test_heavy_breakers_do_not_share_a_stab() -> None:
    heavy = problem(box(8, stab_limit_a=100), double("range", rating_a=60), double("welder", rating_a=50))
    assert illegal(heavy, (Place("range", (1, 3)), Place("welder", (6, 8)))) == ()
    reasons = illegal(heavy, (Place("range", (1, 3)), Place("welder", (2, 4))))
    assert [reason.partition(":")[0] for reason in reasons] == ["spaces 1 and 2", "spaces 3 and 4"]


def test_a_tied_pair_counts_on_its_stabs_by_its_larger_breaker() -> None:
    pair = single("one", partner="two", rating_a=20), single("two", partner="one", rating_a=15)
    posed = problem(box(8, stab_limit_a=45), *pair, double("pump", rating_a=30))
    reasons = illegal(posed, (Place("one", (1,)), Place("two", (3,)), Place("pump", (2, 4))))
    assert len(reasons) == 2


def test_no_more_poles_than_the_label_allows() -> None:
    posed = problem(box(8, circuits_max=3), single("one"), single("two"), double("pump"))
    assert "4 poles in a panel that takes 3" in only(illegal(posed, GOOD))


def test_the_generator_breaker_stands_at_the_interlock() -> None:
    inlet = double("inlet", interlocked=True)
    assert illegal(problem(box(8, interlock_space=2), inlet), (Place("inlet", (2, 4)),)) == ()
    assert "at 2" in only(illegal(problem(box(8, interlock_space=2), inlet), (Place("inlet", (1, 3)),)))
    assert "none" in only(illegal(problem(box(8), inlet), (Place("inlet", (2, 4)),)))


INSIDE = {"top_to_first_row_in": 10, "row_pitch_in": 1, "last_row_to_bottom_in": 6, "side_gutter_in": 4, "across_in": 7}


@pytest.mark.parametrize(
    ("enters", "reach_ft", "near", "far"),
    [("top", 1.3, 3, 5), ("bottom", 1.0, 6, 1), ("left", 0.8, 5, 6), ("right", 0.8, 6, 5)],
)
def test_a_short_wire_ties_a_circuit_to_an_end_or_a_side(enters: str, reach_ft: float, near: int, far: int) -> None:
    # From the top: 10 in + 4 in of gutter to the first row, an inch a row: 1.3 ft = 15.6 in reach the second.
    # From the bottom: 6 + 3 rows + 4 = 13 in to the first row; 12 in reach the second. From a side, at mid-height
    # (9.5 in of 19): 4 in of gutter + 2.5 in up or down to the third row = 6.5 in, the far column 7 in more; 0.8 ft
    # are 9.6 in.
    posed = problem(box(8, **INSIDE), single("old", reach_ft=reach_ft, enters=enters))
    assert illegal(posed, (Place("old", (near,)),)) == ()
    assert "does not reach" in only(illegal(posed, (Place("old", (far,)),)))
