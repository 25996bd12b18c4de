"""The board on which the plain method moves pieces: breakers, tied pairs, and tandems that hold two circuits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from driploop.panel.cost import MOVE, ROW
from driploop.panel.geometry import rows_of
from driploop.panel.results import Layout, PanelProblem, Place
from driploop.panel.units import Unit

#: Where a piece stands: its upper space, and whether its poles are the other way up.
At = tuple[int, bool]


@dataclass(slots=True, eq=False)
class Piece:
    """One thing on the board. ``swing`` is what it adds to A less B in each hour, its first pole on A. [tenths]"""

    units: tuple[Unit, ...]
    size: int
    swing: tuple[int, ...]
    rating_a: float
    starts: frozenset[int]
    flipped_starts: frozenset[int]
    rooms: tuple[str, ...]
    space: int = 0
    flipped: bool = False

    @property
    def present(self) -> int | None:
        """The upper space it holds today."""
        held = [c.present_space for unit in self.units for c in unit.circuits if c.present_space is not None]
        return min(held) if held else None

    @property
    def fixed(self) -> bool:
        """Whether it has one place alone."""
        return len(self.starts | self.flipped_starts) <= 1

    def moved(self, at: At) -> int:
        """How many circuits leave their space of today when it stands there."""
        return sum(unit.moved(at[0], flipped=at[1]) for unit in self.units)


def fewest_tandems(problem: PanelProblem, units: Sequence[Unit]) -> tuple[Piece, ...] | None:
    """The pieces; as many pairs on tandem breakers as the box is short of spaces. None where that is too many.

    A pair is made of two circuits of one room where there are two, the smallest breakers first.
    """
    short = sum(unit.size for unit in units) - problem.box.spaces
    if short <= 0:
        return tuple(_piece((unit,)) for unit in units)
    listed = frozenset(problem.box.tandem_spaces)
    if short > len(listed):
        return None
    free = sorted((u for u in units if u.tandem and u.starts & listed), key=lambda u: (u.rooms, u.rating_a))
    pairs: list[tuple[Unit, Unit]] = []
    for same_room in (True, False):
        left = list(free)
        while len(left) > 1 and len(pairs) < short:
            one = left.pop(0)
            suits = (u for u in left if (u.rooms == one.rooms or not same_room) and u.starts & one.starts & listed)
            other = next(suits, None)
            if other is not None:
                left.remove(other)
                pairs.append((one, other))
                free.remove(one)
                free.remove(other)
    if len(pairs) < short:
        return None
    paired = {id(unit) for pair in pairs for unit in pair}
    alone = tuple(_piece((unit,)) for unit in units if id(unit) not in paired)
    return (*(_piece(pair, listed) for pair in pairs), *alone)


def _piece(units: tuple[Unit, ...], only: frozenset[int] | None = None) -> Piece:
    first = units[0]
    starts = frozenset.intersection(*(unit.starts for unit in units))
    if only is not None:
        starts &= only
    swings = zip(*(unit.swing for unit in units), strict=True)
    rooms = tuple(dict.fromkeys(room for unit in units for room in unit.rooms))
    return Piece(
        units,
        first.size,
        tuple(sum(each) for each in swings),
        sum(unit.rating_a for unit in units),
        starts,
        first.flipped_starts,
        rooms,
    )


class Board:
    """Which piece lies on which space, with the sums that a move changes."""

    def __init__(self, problem: PanelProblem, pieces: Sequence[Piece], *, at: Sequence[At] = ()) -> None:
        self.problem, self.pieces = problem, pieces
        self.rows = rows_of(problem.box)
        self.spaces = problem.box.spaces
        self.limit_a = problem.box.stab_limit_a
        self.on: list[Piece | None] = [None] * (self.spaces + 3)
        self.stab_a = [0.0] * (self.rows + 2)
        self.signed = [0] * len(problem.hours)
        self.members: dict[str, list[Piece]] = {}
        for piece in pieces:
            piece.space = 0
            for room in piece.rooms:
                self.members.setdefault(room, []).append(piece)
        for piece, (space, flipped) in zip(pieces, at, strict=False):
            self.put(piece, space, flipped)

    def standing(self) -> tuple[At, ...]:
        """Where every piece is, in the order of the pieces."""
        return tuple((piece.space, piece.flipped) for piece in self.pieces)

    # --- moves -------------------------------------------------------------------------------------------------------

    def put(self, piece: Piece, space: int, flipped: bool) -> None:
        """Lay a piece on free spaces."""
        piece.space, piece.flipped = space, flipped
        self._add(piece, 1)

    def lift(self, piece: Piece) -> None:
        """Take a piece off."""
        self._add(piece, -1)
        piece.space = 0

    def _add(self, piece: Piece, sign: int) -> None:
        space, row = piece.space, (piece.space - 1) >> 1
        held = piece if sign > 0 else None
        self.on[space] = held
        self.stab_a[row] += sign * piece.rating_a
        if piece.size == 2:
            self.on[space + 2] = held
            self.stab_a[row + 1] += sign * piece.rating_a
        way = sign if (row & 1) == piece.flipped else -sign
        for hour, swing in enumerate(piece.swing):
            self.signed[hour] += way * swing

    def may_stand(self, piece: Piece, at: At) -> bool:
        """Whether a piece that is off the board may be put there."""
        space, flipped = at
        if space not in (piece.flipped_starts if flipped else piece.starts) or self.on[space] is not None:
            return False
        if piece.size == 2 and self.on[space + 2] is not None:
            return False
        if self.limit_a is None:
            return True
        row = (space - 1) >> 1
        return all(self.stab_a[each] + piece.rating_a <= self.limit_a for each in range(row, row + piece.size))

    def first_free(self, piece: Piece, first_row: int) -> At | None:
        """Its space of today, else the first from this row down that may hold it."""
        present = piece.present
        if present is not None:
            for flipped in (False, True):
                if piece.moved((present, flipped)) == 0 and self.may_stand(piece, (present, flipped)):
                    return present, flipped
        for space in range(2 * first_row + 1, self.spaces + 1):
            for flipped in (False, True) if piece.size == 2 else (False,):
                if self.may_stand(piece, (space, flipped)):
                    return space, flipped
        return None

    # --- how good it is ----------------------------------------------------------------------------------------------

    def row(self, piece: Piece) -> int:
        """The upper row of a piece."""
        return (piece.space - 1) >> 1

    def span(self, room: str) -> int:
        """How many rows a room reaches over, of what is on the board."""
        first, last = self.ends(room)
        return last - first + 1

    def ends(self, room: str) -> tuple[int, int]:
        """The first and the last row that a room reaches, of what is on the board."""
        first, last = self.rows, -1
        for piece in self.members[room]:
            if piece.space:
                row = (piece.space - 1) >> 1
                first = min(first, row)
                last = max(last, row + piece.size - 1)
        return first, last

    @property
    def spread(self) -> int:
        """The cost of all but the balance."""
        moved = sum(piece.moved((piece.space, piece.flipped)) for piece in self.pieces)
        return ROW * sum(self.span(room) for room in self.members) + MOVE * moved

    def layout(self) -> Layout:
        """Where every circuit is, in the order of the circuits."""
        places = {place.circuit: place for piece in self.pieces for place in _places(piece)}
        return tuple(places[circuit.id] for circuit in self.problem.circuits)


def _places(piece: Piece) -> Iterator[Place]:
    if len(piece.units) == 1:
        yield from piece.units[0].places(piece.space, flipped=piece.flipped)
        return
    upper, lower = (unit.circuits[0].id for unit in piece.units)
    yield Place(upper, (piece.space,), "upper")
    yield Place(lower, (piece.space,), "lower")
