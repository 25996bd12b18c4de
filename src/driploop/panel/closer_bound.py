"""What no layout can beat, told closer than plain sums do, where few circuits leave few ways.

Two ways of looking, each taken where it is small enough: which circuits stay where they are in a panel that stays, and
where the others then find a place (here); and which lines the rows of a room leave to its circuits. Ways are counted,
not timed: every machine tells the same bound.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from driploop.panel.bound import least_rows, lower_bound
from driploop.panel.bound_by_lines import Sums, amperes_of, bound_by_lines, either_way
from driploop.panel.cost import AMPERE, MOVE, ROW, TENTHS
from driploop.panel.geometry import row_of, rows_of
from driploop.panel.results import PanelProblem
from driploop.panel.units import Unit

MOST_WAYS = 800
MOST_PLACINGS = 1500
#: Up to how many circuits that may go either way all their ways are tried hour by hour together.
MOST_TOGETHER = 7


def closer_bound(problem: PanelProblem, units: Sequence[Unit], *, cost: int) -> int:
    """A cost below which no lawful layout can be.

    Args:
        problem: the box and the circuits.
        units: its breakers and tied pairs.
        cost: of a layout that is known; a bound is not looked for past it.
    """
    least = lower_bound(problem, units)
    if least >= cost:
        return cost
    by_lines = bound_by_lines(problem, units, room=cost - least)
    by_stays = _by_stays(problem, units, least, cost) if any(unit.held_today for unit in units) else least
    return min(cost, max(least, by_lines, by_stays))


# --- which circuits stay where they are ------------------------------------------------------------------------------


def _by_stays(problem: PanelProblem, units: Sequence[Unit], least: int, cost: int) -> int:
    """Every set of circuits that may leave their spaces, the smallest sets first, as long as they can matter."""
    at = {unit: space for unit in units if (space := _stays_at(unit)) is not None}
    may_leave = [unit for unit in at if len(unit.anywhere) > 1]
    best, ways = cost, 0
    left = [MOST_PLACINGS]
    shape, level = _room_by_room(problem, units, at)
    for leaving in range(len(may_leave) + 1):
        floor = least - level + min(total + MOVE * max(0, leaving - gone) for gone, total in shape.items())
        ways += math.comb(len(may_leave), leaving)
        if floor >= best or ways > MOST_WAYS:
            return min(best, floor)
        for gone in combinations(may_leave, leaving):
            stays = {unit: space for unit, space in at.items() if unit not in gone}
            best = min(best, _with_these(problem, units, stays, best, left))
    return best


def _stays_at(unit: Unit) -> int | None:
    """The one upper space at which none of its circuits leaves the space it holds; None where there is not just one."""
    if not unit.held_today:
        return None
    ways = ((unit.starts, False), (unit.flipped_starts, True))
    at = {space for starts, flipped in ways for space in starts if not unit.moved(space, flipped=flipped)}
    return at.pop() if len(at) == 1 else None


def _room_by_room(problem: PanelProblem, units: Sequence[Unit], at: dict[Unit, int]) -> tuple[dict[int, int], int]:
    """The least that rows and leavings cost, each room by itself, by how many leave; and the least of the rows alone.

    A room fills some rows from first to last: whoever holds a space in them may stay, whoever does not must leave it.
    """
    shape, level = {0: 0}, 0
    pairs = max(0, sum(unit.size for unit in units) - problem.box.spaces)
    for room in dict.fromkeys(room for unit in units for room in unit.rooms):
        members = [unit for unit in units if unit.rooms and unit.rooms[0] == room]
        homes = [(row_of(at[unit]), row_of(at[unit]) + unit.size - 1) for unit in members if unit in at]
        fewest = least_rows([unit for unit in units if room in unit.rooms], tandems=pairs)
        level += ROW * fewest
        ways: dict[int, int] = {len(homes): ROW * fewest + MOVE * len(homes)}
        for first, last in product({low for low, _ in homes}, {high for _, high in homes}):
            if first <= last:
                gone = sum(not (first <= low and high <= last) for low, high in homes)
                total = ROW * max(fewest, last - first + 1) + MOVE * gone
                ways[gone] = min(total, ways.get(gone, total))
        both: dict[int, int] = {}
        for (one, cost), (more, further) in product(shape.items(), ways.items()):
            both[one + more] = min(cost + further, both.get(one + more, cost + further))
        shape = both
    return shape, level


def _with_these(
    problem: PanelProblem, units: Sequence[Unit], stays: dict[Unit, int], enough: int, left: list[int]
) -> int:
    """The least cost where exactly these stay; ``enough`` where they cannot, or where it is reached.

    ``left`` holds how many placings of the others may still be tried; past that, what sums tell stands.
    """
    taken: dict[int, Unit] = {}
    moved = 0
    for unit in units:
        if unit not in stays:
            moved += _least_to_leave(unit)
            continue
        for space in range(stays[unit], stays[unit] + 2 * unit.size, 2):
            if space in taken:
                return enough
            taken[space] = unit
    total = MOVE * moved
    for room in dict.fromkeys(room for unit in units for room in unit.rooms):
        members = [unit for unit in units if room in unit.rooms]
        rows = _rows_about(problem, members, stays, taken, units)
        if rows is None or total + ROW * rows >= enough:
            return enough
        total += ROW * rows
    total += AMPERE * _difference(problem, units, stays)
    others = [unit for unit in units if unit not in stays]
    if total >= enough or sum(unit.size for unit in units) > problem.box.spaces:
        return min(enough, total)
    free = [space for space in range(1, problem.box.spaces + 1) if space not in taken]
    placed = _Placing(problem, stays, others, free, enough, left).least()
    return total if placed is None else placed


@dataclass(slots=True)
class _Placing:
    """Every way to lay the others on the spaces that are free, as the box is numbered; stabs are not asked."""

    problem: PanelProblem
    stays: dict[Unit, int]
    others: list[Unit]
    free: list[int]
    best: int
    left: list[int]

    def least(self) -> int | None:
        """The least cost of all, or what was given where none is less. None where there were too many to try."""
        if self.left[0] <= 0 or math.perm(len(self.free), min(len(self.others), len(self.free))) > MOST_PLACINGS:
            return None
        at = [(unit, space, False) for unit, space in self.stays.items()]
        return self.best if self._lay(0, at, set(self.free)) else None

    def _lay(self, number: int, at: list[tuple[Unit, int, bool]], free: set[int]) -> bool:
        if number == len(self.others):
            self.left[0] -= 1
            self.best = min(self.best, _cost_at(self.problem, at))
            return self.left[0] > 0
        unit = self.others[number]
        for flipped, starts in ((False, unit.starts), (True, unit.flipped_starts)):
            for space in sorted(starts & free):
                spaces = {space} if unit.size == 1 else {space, space + 2}
                if spaces <= free and not self._lay(number + 1, [*at, (unit, space, flipped)], free - spaces):
                    return False
        return True


def _cost_at(problem: PanelProblem, at: Iterable[tuple[Unit, int, bool]]) -> int:
    """What a layout costs; a unit that stays may turn its poles round, and is taken at its better."""
    ends: dict[str, list[int]] = {}
    sums = {(0,) * len(problem.hours)}
    moved = 0
    for unit, space, flipped in at:
        moved += unit.moved(space, flipped=flipped)
        for room in unit.rooms:
            ends.setdefault(room, []).extend((row_of(space), row_of(space) + unit.size - 1))
        if any(unit.swing):
            sums = _signed(sums, unit, space, flipped)
    rows = sum(max(each) - min(each) + 1 for each in ends.values())
    return AMPERE * min(amperes_of(each) for each in sums) + ROW * rows + MOVE * moved


def _signed(sums: set[Sums], unit: Unit, space: int, flipped: bool) -> set[Sums]:
    if unit.size == 2 and space in unit.starts & unit.flipped_starts and not unit.moved(space, flipped=not flipped):
        return either_way(sums, unit.swing)
    way = 1 if (row_of(space) % 2 == 1) == flipped else -1
    return {tuple(a + way * b for a, b in zip(each, unit.swing, strict=True)) for each in sums}


def _least_to_leave(unit: Unit) -> int:
    if not unit.held_today:
        return 0
    ways = ((unit.starts, False), (unit.flipped_starts, True))
    moves = [unit.moved(space, flipped=flipped) for starts, flipped in ways for space in starts]
    if _stays_at(unit) is not None:
        moves = [each for each in moves if each]
    return min(moves, default=0)


def _rows_about(
    problem: PanelProblem, members: Sequence[Unit], stays: dict[Unit, int], taken: Iterable[int], units: Sequence[Unit]
) -> int | None:
    """The fewest rows from first to last that hold those of a room that stay, and have free spaces for the others."""
    pairs = max(0, sum(unit.size for unit in units) - problem.box.spaces)
    least = least_rows(members, tandems=pairs)
    fixed = [row_of(stays[unit]) + more for unit in members if unit in stays for more in range(unit.size)]
    wanted = sum(unit.size for unit in members if unit not in stays) - min(pairs, len(members))
    if not fixed:
        return least
    free = [2] * rows_of(problem.box)
    for space in taken:
        free[row_of(space)] -= 1
    low, high = min(fixed), max(fixed)
    fits = (
        last - first + 1
        for first in range(low + 1)
        for last in range(high, len(free))
        if sum(free[first : last + 1]) >= wanted
    )
    rows = min(fits, default=None)
    return None if rows is None else max(rows, least)


def _difference(problem: PanelProblem, units: Sequence[Unit], stays: dict[Unit, int]) -> int:
    """The least of the worst hour where these stay on their lines and the others choose. [A]"""
    steady = [0] * len(problem.hours)
    choose = []
    for unit in units:
        if not any(unit.swing):
            continue
        space = stays.get(unit)
        ways = {} if space is None else {f: unit.moved(space, flipped=f) for f in _ways_up(unit, space)}
        kept = [flipped for flipped, moved in ways.items() if not moved]
        if len(kept) != 1:
            choose.append(unit.swing)
            continue
        sign = 1 if (row_of(space or 1) % 2 == 1) == kept[0] else -1
        steady = [was + sign * swing for was, swing in zip(steady, unit.swing, strict=True)]
    if len(choose) <= MOST_TOGETHER:
        sums = {tuple(steady)}
        for swing in choose:
            sums = either_way(sums, swing)
        return min(amperes_of(each) for each in sums)
    return max((_in_hour(steady[h], [abs(s[h]) for s in choose]) for h in range(len(problem.hours))), default=0)


def _ways_up(unit: Unit, space: int) -> list[bool]:
    return [flipped for flipped, starts in ((False, unit.starts), (True, unit.flipped_starts)) if space in starts]


def _in_hour(steady: int, swings: Sequence[int]) -> int:
    """How near to nothing a sum comes when each swing may be added or taken away. [A]"""
    sums = 1
    for swing in swings:
        sums |= sums << 2 * swing
    total = sum(swings)
    zero = total - steady  # the bit at which the sum is nothing
    if not 0 <= zero < sums.bit_length():
        return -(-(abs(steady) - total) // TENTHS)
    below, above = sums & ((1 << (zero + 1)) - 1), sums >> zero
    near = [] if not below else [zero - (below.bit_length() - 1)]
    near += [] if not above else [(above & -above).bit_length() - 1]
    return -(-min(near) // TENTHS)
