"""What holds of every layout of every panel, whoever laid it out."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from driploop.panel import PanelProblem, Place, cost_of, illegal, leg_of, legs_a, lower_bound, solve_exact, solve_plain
from panel.boxes import random_problem

PANELS = st.builds(
    random_problem,
    st.integers(0, 10_000),
    spaces=st.sampled_from((20, 24, 30)),
    doubles=st.integers(0, 4),
    singles=st.integers(1, 11),
    hours=st.integers(1, 4),
    stab_limit_a=st.sampled_from((None, 100.0, 140.0)),
)


def physical(posed: PanelProblem, layout: tuple[Place, ...]) -> None:
    """Odd left, even right, two poles one above the other on both lines, each circuit once, no space twice."""
    assert Counter(place.circuit for place in layout) == Counter(circuit.id for circuit in posed.circuits)
    used = [space for place in layout for space in place.spaces]
    assert len(used) == len(set(used))
    assert all(1 <= space <= posed.box.spaces for space in used)
    for place in layout:
        if len(place.spaces) == 2:
            low, high = sorted(place.spaces)
            assert high - low == 2
            assert {leg_of(low), leg_of(high)} == {"A", "B"}


@settings(max_examples=40, deadline=None)
@given(PANELS)
def test_the_plain_method_is_always_physical_and_lawful(posed: PanelProblem) -> None:
    solved = solve_plain(posed)
    assert solved is not None
    physical(posed, solved.layout)
    assert illegal(posed, solved.layout) == ()
    assert solved.cost == cost_of(posed, solved.layout)
    assert lower_bound(posed) <= solved.cost.total
    assert solve_plain(posed) == solved


@settings(max_examples=10, deadline=None)
@given(PANELS)
def test_the_solver_is_never_worse_and_both_bounds_are_true(posed: PanelProblem) -> None:
    plain, exact = solve_plain(posed), solve_exact(posed, limit=4.0)
    assert plain is not None
    assert exact is not None
    physical(posed, exact.layout)
    assert illegal(posed, exact.layout) == ()
    assert plain.bound <= exact.cost.total
    assert exact.bound <= plain.cost.total
    if exact.proven:
        assert exact.cost.total <= plain.cost.total


@settings(max_examples=60, deadline=None)
@given(PANELS, st.data())
def test_moving_a_circuit_between_the_lines_never_changes_the_total(posed: PanelProblem, data: st.DataObject) -> None:
    solved = solve_plain(posed)
    assert solved is not None
    moved = data.draw(st.sampled_from([place for place in solved.layout if len(place.spaces) == 1]))
    taken = {space for place in solved.layout for space in place.spaces}
    free = [space for space in range(1, posed.box.spaces + 1) if space not in taken]
    if not free:
        return
    to = data.draw(st.sampled_from(free))
    after = tuple(replace(place, spaces=(to,)) if place == moved else place for place in solved.layout)
    for (a, b), (c, d) in zip(legs_a(posed, solved.layout), legs_a(posed, after), strict=True):
        assert round((a + b) * 10) == round((c + d) * 10)


@settings(max_examples=25, deadline=None)
@given(PANELS)
def test_words_and_names_do_not_change_a_layout(posed: PanelProblem) -> None:
    renamed = replace(posed, circuits=tuple(replace(c, words=f"other {c.words}") for c in posed.circuits))
    first, second = solve_plain(posed), solve_plain(renamed)
    assert first is not None
    assert second is not None
    assert first.layout == second.layout


def test_layouts_said_to_be_as_good_are_as_good_and_are_others() -> None:
    posed = random_problem(3, spaces=20, doubles=2, singles=8, hours=1)
    solved = solve_exact(posed, others=3)
    assert solved is not None
    assert solved.others
    lines = {tuple(leg_of(place.spaces[0]) for place in layout) for layout in (solved.layout, *solved.others)}
    assert len(lines) == 1 + len(solved.others)
    for layout in solved.others:
        assert illegal(posed, layout) == ()
        assert cost_of(posed, layout).total == solved.cost.total
