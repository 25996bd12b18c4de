"""How far a layout can be from the best, told closer: never past the best there is, and closer than plain sums."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from driploop.panel import PanelProblem, lower_bound, solve_exact, solve_plain
from driploop.panel.closer_bound import closer_bound
from driploop.panel.units import units_of
from panel.boxes import box, double, problem, random_problem, single
from panel.brute import least_cost


def kept(seed: int, *, spaces: int, new: float = 0.15) -> PanelProblem:
    """A panel that stays: most circuits hold a space, their rooms lie about, a few are new."""
    rng = Random(seed)
    free, circuits = set(range(1, spaces + 1)), []
    while len(free) > 2:
        space = min(free)
        said = {"room": rng.choice(("kitchen", "cellar", "barn", "")), "rating_a": 20}
        if rng.random() >= new:
            said["present_space"] = space
        amperes = [float(rng.randint(0, 12)) for _ in range(2)]
        if rng.random() < 0.3 and space + 2 in free:
            free -= {space, space + 2}
            circuits.append(double(f"c{space}", *amperes, **said))
        else:
            free -= {space}
            circuits.append(single(f"c{space}", *amperes, **said))
    return problem(box(spaces), *circuits)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_never_past_the_best_of_all_layouts(seed: int) -> None:
    posed = kept(seed, spaces=8, new=0.4)
    best = least_cost(posed)
    assert best is not None
    assert closer_bound(posed, units_of(posed), cost=10_000) <= best


@pytest.mark.parametrize("seed", range(12))
def test_it_is_never_past_what_the_solver_finds(seed: int) -> None:
    for posed in (
        kept(seed, spaces=14),
        kept(seed, spaces=24),
        random_problem(seed, spaces=20, doubles=2, singles=8, hours=2),
    ):
        exact = solve_exact(posed)
        assert exact is not None
        assert closer_bound(posed, units_of(posed), cost=10_000) <= exact.cost.total


def test_two_circuits_in_one_space_of_a_panel_that_stays_by_hand() -> None:
    # Both hold space 1 today and one must leave it: 4. They draw 5 A each, in one room. Beside each other both hang on
    # line A: 10 A apart and one row, 10 + 2 + 4 = 16. One under the other: 0 A apart and two rows, 0 + 4 + 4 = 8. The
    # plain sums see 0 A, one row and nobody who must leave: 2.
    said = {"room": "kitchen", "present_space": 1}
    posed = problem(box(8), single("a", 5.0, **said), single("b", 5.0, **said))
    assert lower_bound(posed) == 2
    assert closer_bound(posed, units_of(posed), cost=100) == 8
    solved = solve_plain(posed)
    assert solved is not None
    assert (solved.cost.total, solved.proven) == (8, True)


def test_most_small_panels_that_stay_are_proven_without_a_solver() -> None:
    proven = before = 0
    for seed in range(20):
        posed = kept(seed, spaces=12)
        solved = solve_plain(posed)
        assert solved is not None
        proven += solved.proven
        before += lower_bound(posed) >= solved.cost.total
    assert proven >= 15 > 3 * before


def test_a_circuit_that_may_not_leave_is_not_counted_as_leaving() -> None:
    # A tandem breaker that its label lists has one place alone.
    tandem = {"tandem": True, "present_space": 1, "rating_a": 15}
    here = box(8, tandem_spaces=(1,), circuits_max=16)
    posed = problem(here, single("a", 5.0, room="barn", **tandem), single("b", 3.0, room="barn", **tandem),
                    single("c", 8.0, room="barn", present_space=3))  # fmt: skip
    solved = solve_plain(posed)
    assert solved is not None
    # 5 + 3 on line A, 8 on line B; two rows; nobody leaves.
    assert (solved.cost.difference_a, solved.cost.rows, solved.cost.moved) == (0, 2, 0)
    assert solved.proven
    assert solved == replace(solved, bound=4)


def test_where_there_are_too_many_ways_the_bound_stays_true(monkeypatch: pytest.MonkeyPatch) -> None:
    # Both hang on line A today, 10 A apart; one moved to line B costs 4 and leaves nothing.
    posed = problem(box(8), single("a", 5.0, present_space=1), single("b", 5.0, present_space=2))
    monkeypatch.setattr("driploop.panel.closer_bound.MOST_WAYS", 1)
    assert closer_bound(posed, units_of(posed), cost=100) == 4
    for seed in range(6):
        wide = kept(seed, spaces=12)
        exact = solve_exact(wide)
        assert exact is not None
        assert closer_bound(wide, units_of(wide), cost=10_000) <= exact.cost.total


def test_three_of_two_poles_need_a_fourth_row() -> None:
    # Six spaces fill three rows, but only two breakers of two poles find a place there: 2 A a row more, cost 8.
    posed = problem(box(8), *(double(f"d{n}", 5.0, room="barn") for n in range(3)))
    assert lower_bound(posed) == 6
    for cost in (7, 8, 20):
        assert closer_bound(posed, units_of(posed), cost=cost) == min(cost, 8)
