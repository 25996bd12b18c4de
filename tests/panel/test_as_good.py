"""What else is exactly as good as a layout: that it is so, and that what differs is told."""

from __future__ import annotations

from dataclasses import replace

from driploop.documents.panel import as_good_words, panel_data
from driploop.panel import PanelProblem, Place, Solved, cost_of, illegal, solve_exact, solve_plain
from driploop.panel.as_good import as_good
from panel.boxes import box, problem, random_problem, single
from panel.dairy import dairy


def laid(amperes: tuple[float, ...]) -> tuple[PanelProblem, Solved]:
    """Four circuits at spaces 1 to 4, the first two on line A, the others on line B."""
    posed = problem(box(4), *(single(id, a) for id, a in zip("abcd", amperes, strict=True)))
    layout = tuple(Place(id, (space,)) for space, id in enumerate("abcd", start=1))
    return posed, Solved("plain", layout, cost_of(posed, layout), 0)


def test_two_circuits_that_may_change_places_are_found_by_hand() -> None:
    # 6 + 4 on line A, 4 + 4 on line B: 2 A apart. 6 for either 4 of line B turns the difference round. 4 for 4 changes
    # nothing, and is not told.
    found = as_good(*laid((6.0, 4.0, 4.0, 4.0)))
    assert [(each.circuits, each.swap, each.neutral_a) for each in found] == [
        (("a", "c"), True, (2.0,)), (("a", "d"), True, (2.0,)),
    ]  # fmt: skip


def test_what_is_better_or_worse_is_not_as_good() -> None:
    # 8 + 4 against 9 + 5, 2 A apart: 8 for 9 and 4 for 5 make 13 and 13; 8 for 5 makes 9 and 17, 4 for 9 17 and 9.
    assert as_good(*laid((8.0, 4.0, 9.0, 5.0))) == ()


def test_what_a_stab_does_not_take_is_not_told() -> None:
    # As above, 6 A may change with either 4 A of line B. Rated 40 A beside one of 40 A it is more than the stab takes.
    posed, solved = laid((6.0, 4.0, 4.0, 4.0))
    rated = {"a": 40.0, "d": 40.0}
    heavy = tuple(replace(c, rating_a=rated.get(c.id, 15.0)) for c in posed.circuits)
    found = as_good(replace(posed, circuits=heavy, box=box(4, stab_limit_a=60.0)), solved)
    assert [each.circuits for each in found] == [("a", "d")]


def test_circuits_that_share_a_neutral_are_left_where_they_are() -> None:
    posed, solved = laid((6.0, 4.0, 4.0, 4.0))
    tied = {"a": "b", "b": "a"}
    paired = replace(posed, circuits=tuple(replace(c, partner=tied.get(c.id)) for c in posed.circuits))
    assert as_good(paired, solved) == ()


def test_what_is_told_is_lawful_as_good_and_another_layout() -> None:
    told = 0
    for seed in range(12):
        posed = random_problem(seed, spaces=20, doubles=2, singles=9, hours=2, stab_limit_a=100.0)
        for found in (solve_plain(posed), solve_exact(posed, others=2)):
            assert found is not None
            for each in as_good(posed, found):
                assert illegal(posed, each.layout) == ()
                assert cost_of(posed, each.layout).total == found.cost.total
                assert each.layout != found.layout
                moved = {a.circuit for a, b in zip(found.layout, each.layout, strict=True) if a.spaces != b.spaces}
                assert not each.swap or moved == set(each.circuits)
                told += 1
    assert told > 10


def test_it_is_told_in_words_and_as_data() -> None:
    reading = next(each for each in dairy().panels if each.equipment == "barn-panel")
    words, data = as_good_words(reading), panel_data(reading)["layout"]["as_good"]
    assert len(words) == len(reading.as_good) == len(data) > 0
    for (differs, neutral), each, circuits in zip(words, data, reading.as_good, strict=True):
        assert each["differs"] == differs
        assert "change places" in differs or "on the other line" in differs
        assert len(neutral) == len(reading.balance)
        assert each["circuits"] == list(circuits.circuits)
