"""What no layout can beat, told from the lines that the rows of each room leave to its circuits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from driploop.panel.bound import least_rows, lower_bound
from driploop.panel.cost import AMPERE, ROW, TENTHS
from driploop.panel.results import PanelProblem
from driploop.panel.units import Unit

#: The most circuits that may go either way and still all their ways are tried; and the most sums that are kept of them.
MOST_CIRCUITS = 14
MOST_SUMS = 20000

#: Line A less line B in each hour. [tenths of an ampere]
Sums = tuple[int, ...]


def bound_by_lines(problem: PanelProblem, units: Sequence[Unit], *, room: int) -> int:
    """Rooms in their fewest rows, and in more as long as that costs less than ``room``; 0 where it is too much to try.

    So many rows have so many spaces on each line: what does not fit on one goes on the other.
    """
    ways = sum(unit.size == 1 or any(unit.swing) for unit in units)
    if sum(unit.size for unit in units) > problem.box.spaces or ways > MOST_CIRCUITS:
        return 0
    reached: dict[Sums, int] = {(0,) * len(problem.hours): 0}  # the rows past the fewest that a sum takes
    least = 0
    for name in dict.fromkeys((unit.rooms or ("",))[0] for unit in units):
        members = [unit for unit in units if (unit.rooms or ("",))[0] == name]
        least += least_rows(members, tandems=0) if name else 0
        made = _of_a_room(problem, members, most=room // ROW if name else None)
        if len(made) * len(reached) > MOST_SUMS:
            return 0
        further: dict[Sums, int] = {}
        for (one, rows), (other, more) in product(reached.items(), made.items()):
            if rows + more <= room // ROW:
                both = tuple(a + b for a, b in zip(one, other, strict=True))
                further[both] = min(rows + more, further.get(both, rows + more))
        reached = further
    lowest = lower_bound(problem, units)
    if not reached:  # every way takes more rows than that
        return lowest + room
    moved = lowest - _without_moves(problem, units)
    return moved + ROW * least + min(ROW * rows + AMPERE * amperes_of(sums) for sums, rows in reached.items())


def _without_moves(problem: PanelProblem, units: Sequence[Unit]) -> int:
    bare = [replace(u, circuits=tuple(replace(c, present_space=None) for c in u.circuits)) for u in units]
    return lower_bound(problem, bare)


def _of_a_room(problem: PanelProblem, members: Sequence[Unit], *, most: int | None) -> dict[Sums, int]:
    """Every sum of A less B that a room can make, with the rows it takes past its fewest."""
    singles = [unit.swing for unit in members if unit.size == 1]
    doubles = [unit.swing for unit in members if unit.size == 2 and any(unit.swing)]
    made: dict[Sums, int] = {}
    of_doubles = {(0,) * len(problem.hours)}
    for swing in doubles:
        of_doubles = either_way(of_doubles, swing)
    tall = sum(unit.size == 2 for unit in members)
    fewest = least_rows(members, tandems=0)
    for ways in product((True, False), repeat=len(singles)):
        rows = 0 if most is None else _rows_for(sum(ways), len(ways) - sum(ways), tall, fewest) - fewest
        if most is not None and rows > most:
            continue
        signed = [tuple(s if on_a else -s for s in swing) for on_a, swing in zip(ways, singles, strict=True)]
        base = tuple(map(sum, zip(*signed, strict=True))) if signed else (0,) * len(problem.hours)
        for each in of_doubles:
            both = tuple(a + b for a, b in zip(base, each, strict=True))
            made[both] = min(rows, made.get(both, rows))
    return made


def _rows_for(on_a: int, on_b: int, tall: int, fewest: int) -> int:
    """The fewest rows, one on A and the next on B, with so many spaces on each line."""
    rows = fewest
    while not any(
        2 * first >= on_a + tall and 2 * (rows - first) >= on_b + tall for first in {rows // 2, rows - rows // 2}
    ):
        rows += 1
    return rows


def either_way(sums: set[Sums], swing: Sums) -> set[Sums]:
    """Every sum with a swing added and with it taken away."""
    return {tuple(a + way * b for a, b in zip(each, swing, strict=True)) for each in sums for way in (1, -1)}


def amperes_of(sums: Sums) -> int:
    """The worst hour, rounded up. [A]"""
    return -(-max(map(abs, sums), default=0) // TENTHS)
