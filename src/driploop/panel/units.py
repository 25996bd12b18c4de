"""Circuits as a solver moves them: one space, or two one above the other; with where each may go."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.panel.cost import tenths
from driploop.panel.geometry import reaches
from driploop.panel.results import PanelCircuit, PanelProblem, Place


@dataclass(frozen=True, slots=True)
class Unit:
    """One breaker, or two tied by their handles, or two on the tandem breaker on which they were found.

    ``poles`` are the currents of each pole in every hour [tenths of an ampere], ``starts`` the upper spaces it may take
    as it stands, ``flipped_starts`` those it may take with its poles the other way up. ``rating_a`` is that of the
    larger breaker of a pair [A].
    """

    circuits: tuple[PanelCircuit, ...]
    poles: tuple[tuple[int, ...], ...]
    rating_a: float
    starts: frozenset[int]
    flipped_starts: frozenset[int]
    rooms: tuple[str, ...]

    @property
    def size(self) -> int:
        """How many spaces it takes."""
        return len(self.poles)

    @property
    def swing(self) -> tuple[int, ...]:
        """What it adds to line A less line B in each hour while its first pole is on A. [tenths]"""
        if self.size == 1:
            return self.poles[0]
        return tuple(first - second for first, second in zip(*self.poles, strict=True))

    @property
    def held_today(self) -> bool:
        """Whether one of its circuits has a space today that it would be good to keep."""
        return any(circuit.present_space is not None for circuit in self.circuits)

    @property
    def tandem(self) -> bool:
        """Whether it may share a space with another."""
        return self.size == 1 and len(self.circuits) == 1 and self.circuits[0].tandem

    @property
    def anywhere(self) -> frozenset[int]:
        """The upper spaces it may take one way up or the other."""
        return self.starts | self.flipped_starts

    def places(self, space: int, *, flipped: bool) -> tuple[Place, ...]:
        """Where its circuits are when its upper space is this one."""
        spaces = (space,) if self.size == 1 else (space + 2, space) if flipped else (space, space + 2)
        if len(self.circuits) == 1:
            return (Place(self.circuits[0].id, spaces),)
        if self.size == 1:
            upper, lower = self.circuits
            return Place(upper.id, spaces, "upper"), Place(lower.id, spaces, "lower")
        return tuple(Place(circuit.id, (each,)) for circuit, each in zip(self.circuits, spaces, strict=True))

    def moved(self, space: int, *, flipped: bool) -> int:
        """How many of its circuits leave the space they hold today."""
        return sum(
            circuit.present_space not in (None, min(place.spaces))
            for circuit, place in zip(self.circuits, self.places(space, flipped=flipped), strict=True)
        )


def units_of(problem: PanelProblem) -> tuple[Unit, ...]:
    """Every breaker, tied pair, and tandem breaker that stays, in the order of the circuits."""
    by_id = {circuit.id: circuit for circuit in problem.circuits}
    may_take = _Allowed(problem)
    taken: set[str] = set()
    units = []
    stays = _tandems_that_stay(problem)
    for circuit in problem.circuits:
        if circuit.id in taken:
            continue
        if circuit.id in stays:
            together = stays[circuit.id]
            taken |= {each.id for each in together}
            units.append(_tandem(together))
            continue
        partner = by_id.get(circuit.partner or "")
        pair = (circuit, partner) if partner is not None and partner.id not in taken else (circuit,)
        taken |= {each.id for each in pair}
        units.append(_unit(may_take, pair))
    return tuple(units)


def _tandems_that_stay(problem: PanelProblem) -> dict[str, tuple[PanelCircuit, PanelCircuit]]:
    """Two circuits found on one tandem breaker, in a space whose label lists it: they are left there, by circuit id."""
    stays: dict[str, tuple[PanelCircuit, PanelCircuit]] = {}
    limit = problem.box.stab_limit_a
    for space in problem.box.tandem_spaces:
        here = [circuit for circuit in problem.circuits if circuit.present_space == space]
        if len(here) != 2 or not all(circuit.tandem and reaches(problem.box, circuit, space) for circuit in here):
            continue
        if limit is None or sum(circuit.rating_a for circuit in here) <= limit:
            upper, lower = sorted(here, key=lambda circuit: ("upper", "", "lower").index(circuit.present_half))
            stays[upper.id] = stays[lower.id] = (upper, lower)
    return stays


def _tandem(circuits: tuple[PanelCircuit, PanelCircuit]) -> Unit:
    currents = [[tenths(a) for a in circuit.amperes[0]] for circuit in circuits]
    pole = tuple(map(sum, zip(*currents, strict=True)))
    at = frozenset({circuits[0].present_space or 0})
    rooms = tuple(dict.fromkeys(circuit.room for circuit in circuits if circuit.room))
    return Unit(circuits, (pole,), sum(circuit.rating_a for circuit in circuits), at, frozenset(), rooms)


def _unit(may_take: _Allowed, circuits: tuple[PanelCircuit, ...]) -> Unit:
    poles = tuple(tuple(tenths(a) for a in pole) for circuit in circuits for pole in circuit.amperes)
    rooms = (circuits[0].room,) if circuits[0].room else ()
    spaces = [may_take.spaces(circuit) for circuit in circuits for _ in range(circuit.poles)]
    starts = spaces[0]
    flipped: frozenset[int] = frozenset()
    if len(poles) == 2:
        starts, flipped = _stacked(spaces[0], spaces[1]), _stacked(spaces[1], spaces[0])
    starts, flipped = _as_held(circuits, starts, flipped)
    at = may_take.interlock if any(circuit.interlocked for circuit in circuits) else None
    if at is not None:
        starts, flipped = starts & at, flipped & at
    return Unit(circuits, poles, max(circuit.rating_a for circuit in circuits), starts, flipped, rooms)


def _as_held(
    circuits: tuple[PanelCircuit, ...], starts: frozenset[int], flipped: frozenset[int]
) -> tuple[frozenset[int], frozenset[int]]:
    """Of the upper spaces that may be taken, those that leave every circuit where the shop wants it."""
    for number, circuit in enumerate(circuits):
        if not circuit.held:
            continue
        if len(circuits) == 2:  # a tied pair: this one is the upper of it, or the lower
            up, down = ({circuit.held[0]}, {circuit.held[0] - 2}) if number == 0 else (
                {circuit.held[0] - 2}, {circuit.held[0]})  # fmt: skip
        elif circuit.poles == 2:
            first, second = circuit.held
            up, down = ({first} if first < second else set()), ({second} if second < first else set())
        else:
            up, down = {circuit.held[0]}, set()
        starts, flipped = starts & up, flipped & down
    return starts, flipped


def _stacked(upper: frozenset[int], lower: frozenset[int]) -> frozenset[int]:
    return frozenset(space for space in upper if space + 2 in lower)


class _Allowed:
    """Which spaces a single wire may take; alike wires are asked once."""

    def __init__(self, problem: PanelProblem) -> None:
        self.box = problem.box
        self.all = frozenset(range(1, self.box.spaces + 1))
        self.known: dict[tuple[float | None, str | None], frozenset[int]] = {(None, None): self.all}
        at = self.box.interlock_space
        self.interlock = frozenset() if at is None else frozenset({at})

    def spaces(self, circuit: PanelCircuit) -> frozenset[int]:
        """The spaces that a circuit's wire reaches."""
        key = (circuit.reach_ft, circuit.enters)
        if key not in self.known:
            self.known[key] = frozenset(space for space in self.all if reaches(self.box, circuit, space))
        return self.known[key]
