"""Every layout there is, one by one: slow, simple, and knows nothing of how a solver thinks."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.panel import PanelCircuit, PanelProblem, Place, illegal


def every_layout(problem: PanelProblem) -> Iterator[tuple[Place, ...]]:
    """All lawful layouts that share as few spaces as they must; a tandem found in a listed space stays there."""
    stays = _halves_that_stay(problem)
    poles = sum(circuit.poles for circuit in problem.circuits)
    shares = len(stays) // 2 + max(0, poles - len(stays) // 2 - problem.box.spaces)
    options = [
        (stays[circuit.id],) if circuit.id in stays else tuple(_options(problem, circuit, shares=shares > 0))
        for circuit in problem.circuits
    ]

    def fill(number: int, taken: dict[int, list[Place]], done: tuple[Place, ...]) -> Iterator[tuple[Place, ...]]:
        if number == len(options):
            halved = sum(len(here) > 1 for here in taken.values())
            alone = any(place.half and len(taken[place.spaces[0]]) == 1 for place in done)
            if halved == shares and not alone and not illegal(problem, done):
                yield done
            return
        for place in options[number]:
            if all(_beside(taken.get(space, []), place) for space in place.spaces):
                for space in place.spaces:
                    taken.setdefault(space, []).append(place)
                yield from fill(number + 1, taken, (*done, place))
                for space in place.spaces:
                    taken[space].pop()

    yield from fill(0, {}, ())


def _halves_that_stay(problem: PanelProblem) -> dict[str, Place]:
    stays = {}
    for space in problem.box.tandem_spaces:
        here = [c for c in problem.circuits if c.present_space == space and c.tandem]
        if len(here) == 2:
            stays[here[0].id] = Place(here[0].id, (space,), "upper")
            stays[here[1].id] = Place(here[1].id, (space,), "lower")
    return stays


def _options(problem: PanelProblem, circuit: PanelCircuit, *, shares: bool) -> Iterator[Place]:
    spaces = range(1, problem.box.spaces + 1)
    if circuit.poles == 2:
        unlike = circuit.amperes[0] != circuit.amperes[1]
        for space in spaces[:-2]:
            yield Place(circuit.id, (space, space + 2))
            if unlike:
                yield Place(circuit.id, (space + 2, space))
        return
    for space in spaces:
        yield Place(circuit.id, (space,))
        if shares and circuit.tandem and space in problem.box.tandem_spaces:
            yield Place(circuit.id, (space,), "upper")
            yield Place(circuit.id, (space,), "lower")


def _beside(here: list[Place], place: Place) -> bool:
    if not here:
        return place.half != "lower"  # the upper half first: the other way round is the same layout
    return len(here) == 1 and here[0].half == "upper" and place.half == "lower"


def least_cost(problem: PanelProblem) -> int | None:
    """The cost of the best of all layouts, reckoned by hand as docs/panel.md tells; None where there is no layout."""
    by_id = {circuit.id: circuit for circuit in problem.circuits}
    costs = []
    for layout in every_layout(problem):
        line = [[0.0, 0.0] for _ in problem.hours]
        rows: dict[str, set[int]] = {}
        moved = 0
        for place in layout:
            circuit = by_id[place.circuit]
            for space, amperes in zip(place.spaces, circuit.amperes, strict=True):
                row = (space + 1) // 2
                rows.setdefault(circuit.room, set()).add(row)
                for hour, current in enumerate(amperes):
                    line[hour][row % 2] += current
            moved += circuit.present_space is not None and circuit.present_space != min(place.spaces)
        rows.pop("", None)
        worst = max((abs(round(a * 10) - round(b * 10)) for a, b in line), default=0)
        spread = sum(max(each) - min(each) + 1 for each in rows.values())
        costs.append((worst + 9) // 10 + 2 * spread + 4 * moved)
    return min(costs, default=None)
