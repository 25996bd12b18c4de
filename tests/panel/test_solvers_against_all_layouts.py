"""The solvers held against brute force: every layout of small panels, one by one."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from driploop.panel import PanelProblem, cost_of, illegal, lower_bound, solve_exact, solve_plain
from panel.boxes import box, double, problem, single
from panel.brute import least_cost


def small(seed: int) -> PanelProblem:
    """A panel of up to 8 circuits with whatever a site can ask: ties, short wires, a stab limit, places of today."""
    rng = Random(seed)

    def currents() -> list[float]:
        return [rng.choice((0.0, 1.3, 4.0, 7.7, 12.5)) for _ in range(2)]

    room = ("kitchen", "barn", "")
    circuits = [
        single(f"s{n}", *currents(), room=rng.choice(room), rating_a=rng.choice((15, 20)))
        for n in range(rng.randint(3, 4))
    ]
    circuits += [
        double(f"d{n}", *currents(), second=currents(), room=rng.choice(room), rating_a=rng.choice((30, 50)))
        for n in range(rng.randint(0, 2))
    ]
    if rng.random() < 0.5:
        circuits[0] = replace(circuits[0], partner="s1", room="kitchen")
        circuits[1] = replace(circuits[1], partner="s0", room="kitchen")
    if rng.random() < 0.4:
        circuits[-1] = replace(
            circuits[-1], reach_ft=rng.choice((1.0, 1.3)), enters=rng.choice(("top", "left", "bottom"))
        )
    if rng.random() < 0.5:
        for n in rng.sample(range(2, len(circuits)), k=min(2, len(circuits) - 2)):
            circuits[n] = replace(circuits[n], present_space=rng.randint(1, 6))
    taken = sum(circuit.poles for circuit in circuits)
    spaces = taken + taken % 2 + rng.choice((0, 0, 2))
    inches = {"top_to_first_row_in": 10.0, "row_pitch_in": 1.0, "side_gutter_in": 2.0, "across_in": 6.0}
    here = box(spaces, stab_limit_a=rng.choice((None, None, 70.0)), last_row_to_bottom_in=10.0, **inches)
    return problem(here, *circuits)


@pytest.mark.parametrize("seed", range(24))
def test_the_solver_finds_the_best_of_all_layouts(seed: int) -> None:
    posed = small(seed)
    best = least_cost(posed)
    solved = solve_exact(posed)
    if best is None:
        assert solved is None
        return
    assert solved is not None
    assert solved.proven
    assert illegal(posed, solved.layout) == ()
    assert cost_of(posed, solved.layout).total == solved.cost.total == best


@pytest.mark.parametrize("seed", range(24))
def test_the_plain_method_is_lawful_and_its_bound_is_true(seed: int) -> None:
    posed = small(seed)
    best = least_cost(posed)
    solved = solve_plain(posed)
    if best is None:
        assert solved is None
        return
    assert lower_bound(posed) <= best
    assert solved is not None
    assert illegal(posed, solved.layout) == ()
    assert best <= solved.cost.total
    assert solved.bound <= best


def test_eight_single_circuits_in_eight_spaces() -> None:
    amperes = (3.1, 5.2, 7.9, 2.2, 11.0, 0.4, 6.6, 9.3)
    posed = problem(
        box(8), *(single(f"s{n}", a, 12.0 - a, room="barn" if n < 4 else "yard") for n, a in enumerate(amperes))
    )
    solved = solve_exact(posed)
    assert solved is not None
    assert solved.proven
    assert solved.cost.total == least_cost(posed)


def test_eight_circuits_of_which_two_take_two_spaces() -> None:
    circuits = [
        single(f"s{n}", a, 2 * a % 9, room=("barn", "yard")[n % 2])
        for n, a in enumerate((3.1, 5.2, 7.9, 2.2, 8.8, 0.4))
    ]
    posed = problem(
        box(10), *circuits, double("d0", 20, 0, room="barn"), double("d1", 0, 12, second=(8, 12), room="yard")
    )
    solved = solve_exact(posed)
    assert solved is not None
    assert solved.proven
    assert solved.cost.total == least_cost(posed)


@pytest.mark.parametrize("seed", range(6))
def test_tandems_are_shared_as_seldom_as_they_can_be_and_only_where_listed(seed: int) -> None:
    rng = Random(seed)
    circuits = [
        single(f"s{n}", rng.choice((2.0, 5.5, 9.0)), tandem=n != 2, room=("barn", "yard")[n % 2]) for n in range(7)
    ]
    posed = problem(box(6, circuits_max=8, tandem_spaces=(3, 5, 6)), *circuits)
    best = least_cost(posed)
    exact, plain = solve_exact(posed), solve_plain(posed)
    assert exact is not None
    assert plain is not None
    assert exact.proven
    assert exact.cost.total == best
    for solved in (exact, plain):
        assert illegal(posed, solved.layout) == ()
        assert {place.spaces for place in solved.layout if place.half} <= {(3,), (5,), (6,)}
        assert sum(place.half == "lower" for place in solved.layout) == 1


@pytest.mark.parametrize("seed", range(8))
def test_a_tandem_that_stays_is_left_where_it_is_by_both_and_the_rest_is_at_its_best(seed: int) -> None:
    rng = Random(seed)
    held = {"tandem": True, "present_space": rng.choice((1, 4)), "rating_a": 15}
    circuits = [single(id, *(rng.choice((0.0, 1.3, 4.0, 7.7)) for _ in range(2)), room="barn", **held) for id in "ab"]
    for n in range(3):
        said = {"room": rng.choice(("barn", "kitchen")), "tandem": True, "rating_a": 15}
        if rng.random() < 0.6:
            said["present_space"] = rng.choice((2, 3, 5, 6))
        circuits.append(single(f"s{n}", *(rng.choice((1.3, 4.0, 12.5)) for _ in range(2)), **said))
    circuits.append(double("d", 4.0, 9.0, room="kitchen"))
    posed = problem(box(6, tandem_spaces=(1, 2, 4), circuits_max=9), *circuits)
    best, exact, plain = least_cost(posed), solve_exact(posed), solve_plain(posed)
    assert best is not None
    assert exact is not None
    assert plain is not None
    assert exact.cost.total == best
    assert plain.bound <= best <= plain.cost.total
    for solved in (exact, plain):
        assert illegal(posed, solved.layout) == ()
        assert [place.spaces for place in solved.layout[:2]] == [(held["present_space"],)] * 2
