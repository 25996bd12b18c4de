"""What makes one lawful layout better than another, in amperes.

The cost of a layout is
    the worst difference of the two lines over the working hours, rounded up to a whole ampere,
    + 2 for every row over which the circuits of a room are spread, first row to last, rooms added up,
    + 4 for every circuit that leaves the space it holds today, where the panel stays.
So a row less for a room is worth 2 A of balance, and a circuit left in peace 4 A.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence

from driploop.panel.geometry import leg_of, row_of
from driploop.panel.results import Cost, PanelCircuit, PanelProblem, Place

AMPERE, ROW, MOVE = 1, 2, 4
#: Amperes are counted in tenths, whole numbers, so that every machine adds them up alike.
TENTHS = 10


def tenths(amperes: float) -> int:
    """Amperes in whole tenths."""
    return math.floor(amperes * TENTHS + 0.5)


def signed_tenths(problem: PanelProblem, layout: Iterable[Place]) -> tuple[int, ...]:
    """Line A less line B in each working hour. [tenths of an ampere]"""
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    sums = [0] * len(problem.hours)
    for place in layout:
        for space, currents in zip(place.spaces, circuits[place.circuit].amperes, strict=True):
            sign = 1 if leg_of(space) == "A" else -1
            for hour, current in enumerate(currents):
                sums[hour] += sign * tenths(current)
    return tuple(sums)


def legs_a(problem: PanelProblem, layout: Iterable[Place]) -> tuple[tuple[float, float], ...]:
    """Current of line A and line B in each working hour. [A]"""
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    sums = [[0, 0] for _ in problem.hours]
    for place in layout:
        for space, currents in zip(place.spaces, circuits[place.circuit].amperes, strict=True):
            for hour, current in enumerate(currents):
                sums[hour][leg_of(space) == "B"] += tenths(current)
    return tuple((a / TENTHS, b / TENTHS) for a, b in sums)


def whole_amperes(signed: Sequence[int]) -> int:
    """The worst difference of a set of hours, rounded up. [tenths] -> [A]"""
    return -(-max((abs(each) for each in signed), default=0) // TENTHS)


def cost_of(problem: PanelProblem, layout: Iterable[Place]) -> Cost:
    """How good a layout is. It is not asked whether it is lawful."""
    places = tuple(layout)
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    difference = whole_amperes(signed_tenths(problem, places))
    rows: dict[str, list[int]] = defaultdict(list)
    rooms = rooms_of(problem)
    for place in places:
        if room := rooms[place.circuit]:
            rows[room] += [row_of(space) for space in place.spaces]
    spread = sum(max(each) - min(each) + 1 for each in rows.values())
    moved = sum(is_moved(circuits[place.circuit], place) for place in places)
    return weighed(difference, spread, moved)


def rooms_of(problem: PanelProblem) -> dict[str, str]:
    """What each circuit is kept together with: its room; a tied pair goes with its first circuit."""
    rooms: dict[str, str] = {}
    for circuit in problem.circuits:
        rooms[circuit.id] = rooms.get(circuit.partner or "", circuit.room)
    return rooms


def is_moved(circuit: PanelCircuit, place: Place) -> bool:
    """Whether a circuit leaves the space that it holds today."""
    return circuit.present_space is not None and min(place.spaces) != circuit.present_space


def weighed(difference_a: int, rows: int, moved: int) -> Cost:
    """The parts with their sum."""
    return Cost(difference_a, rows, moved, AMPERE * difference_a + ROW * rows + MOVE * moved)
