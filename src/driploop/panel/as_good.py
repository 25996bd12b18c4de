"""What else is exactly as good as a layout, and what differs: for whoever would rather have it the other way round."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from driploop.panel.cost import cost_of, legs_a, signed_tenths, whole_amperes
from driploop.panel.geometry import leg_of
from driploop.panel.legality import illegal
from driploop.panel.results import AsGood, Layout, PanelCircuit, PanelProblem, Place, Solved


def as_good(problem: PanelProblem, solved: Solved) -> tuple[AsGood, ...]:
    """Other layouts of the same cost: those that the solver met, then two circuits that may change places.

    Two that change places hang on the two lines and do not draw alike in every hour: all else is the same to whoever
    reads the balance. Told are the swaps; of the solver's layouts, the circuits that hang on the other line.
    """
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    told = [_other(problem, solved.layout, layout, circuits) for layout in solved.others]
    seen = {each.lines for each in told}
    for one, other in _pairs(solved.layout, circuits):
        layout = _swapped(solved.layout, one, other)
        if whole_amperes(signed_tenths(problem, layout)) > solved.cost.difference_a:
            continue
        if cost_of(problem, layout).total != solved.cost.total or illegal(problem, layout):
            continue
        made = AsGood((one.circuit, other.circuit), True, _lines(layout), _neutral(problem, layout), layout)
        if made.lines not in seen:
            seen.add(made.lines)
            told.append(made)
    return tuple(told)


def _pairs(layout: Layout, circuits: dict[str, PanelCircuit]) -> Iterator[tuple[Place, Place]]:
    for one, other in combinations(layout, 2):
        first, second = circuits[one.circuit], circuits[other.circuit]
        alone = first.poles == second.poles == 1 and not (one.half or other.half or first.partner or second.partner)
        across = leg_of(one.spaces[0]) != leg_of(other.spaces[0])
        if alone and across and first.amperes != second.amperes:
            yield one, other


def _swapped(layout: Layout, one: Place, other: Place) -> Layout:
    at = {one.circuit: other.spaces, other.circuit: one.spaces}
    return tuple(replace(place, spaces=at.get(place.circuit, place.spaces)) for place in layout)


def _other(problem: PanelProblem, layout: Layout, other: Layout, circuits: dict[str, PanelCircuit]) -> AsGood:
    """The circuits that hang on another line; with both lines exchanged where fewer then do."""
    crossed = [b.circuit for a, b in zip(layout, other, strict=True) if _crosses(a, b, circuits[a.circuit])]
    alike = [b.circuit for a, b in zip(layout, other, strict=True)
             if any(map(any, circuits[a.circuit].amperes)) and not _crosses(a, b, circuits[a.circuit])
             and _unlike(circuits[a.circuit])]  # fmt: skip
    fewest: Sequence[str] = min((crossed, alike), key=len)
    return AsGood(tuple(fewest), False, _lines(other), _neutral(problem, other), other)


def _crosses(place: Place, other: Place, circuit: PanelCircuit) -> bool:
    return leg_of(place.spaces[0]) != leg_of(other.spaces[0]) and _unlike(circuit)


def _unlike(circuit: PanelCircuit) -> bool:
    """Whether it matters on which line its first pole hangs."""
    return (circuit.poles == 1 and any(circuit.amperes[0])) or (
        circuit.poles == 2 and circuit.amperes[0] != circuit.amperes[1]
    )


def _lines(layout: Layout) -> tuple[str, ...]:
    return tuple(leg_of(place.spaces[0]) for place in layout)


def _neutral(problem: PanelProblem, layout: Layout) -> tuple[float, ...]:
    return tuple(abs(a - b) for a, b in legs_a(problem, layout))
