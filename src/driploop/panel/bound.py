"""What no layout can beat: told from sums alone, without searching."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from driploop.panel.cost import AMPERE, MOVE, ROW, TENTHS
from driploop.panel.results import PanelProblem
from driploop.panel.units import Unit, units_of


def lower_bound(problem: PanelProblem, units: Sequence[Unit] | None = None) -> int:
    """A cost below which no lawful layout can be: balance and rooms each at their own best, and only those
    circuits moved that cannot stay."""
    units = units or units_of(problem)
    pairs = max(0, sum(unit.size for unit in units) - problem.box.spaces)
    rooms = dict.fromkeys(room for unit in units for room in unit.rooms)
    rows = sum(least_rows([unit for unit in units if room in unit.rooms], tandems=pairs) for room in rooms)
    return AMPERE * least_difference(problem, units) + ROW * rows + MOVE * sum(map(_least_moved, units))


def _least_moved(unit: Unit) -> int:
    """How many circuits of a unit must leave their space wherever it stands."""
    if not unit.held_today:
        return 0
    ways = ((unit.starts, False), (unit.flipped_starts, True))
    return min((unit.moved(space, flipped=flipped) for starts, flipped in ways for space in starts), default=0)


def least_difference(problem: PanelProblem, units: Sequence[Unit] | None = None) -> int:
    """The least that the worst hour can differ, wherever the circuits stand. [A]

    In each hour by itself: every sum that a choice of lines can make, as bits of one number, and the one nearest to
    half of all.
    """
    units = units or units_of(problem)
    return max((_least_in_hour(units, hour) for hour in range(len(problem.hours))), default=0)


def _least_in_hour(units: Iterable[Unit], hour: int) -> int:
    swings = [abs(unit.swing[hour]) for unit in units]
    total, sums = sum(swings), 1
    for swing in swings:
        sums |= sums << swing
    half = total // 2
    reachable = sums & ((1 << (half + 1)) - 1)
    nearest = reachable.bit_length() - 1
    return -(-(total - 2 * nearest) // TENTHS)


def least_rows(units: Sequence[Unit], *, tandems: int) -> int:
    """The fewest rows that the spaces of these units can fill; ``tandems`` shared spaces may hold two of them."""
    spaces = sum(unit.size for unit in units)
    halves = min(sum(unit.tandem for unit in units) // 2 if tandems else 0, tandems)
    deepest = max((unit.size for unit in units), default=0)
    return max(deepest, -(-(spaces - halves) // 2))
