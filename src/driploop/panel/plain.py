"""A good layout by plain means, where no solver is installed: rooms packed tight, then lines traded until they balance.

The same circuits always give the same layout. How far from the best it can be is told by ``bound``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from driploop.panel.bound import lower_bound
from driploop.panel.closer_bound import closer_bound
from driploop.panel.cost import cost_of
from driploop.panel.pieces import At, Board, Piece, fewest_tandems
from driploop.panel.results import PanelProblem, Solved
from driploop.panel.trading import balanced, wandered
from driploop.panel.units import units_of

#: Orders in which rooms are packed.
_Order = Sequence[Sequence[Piece]]


def solve_plain(problem: PanelProblem) -> Solved | None:
    """A lawful layout, its cost and the bound of what could be; None where none was found.

    Args:
        problem: the box and the circuits.
    """
    units = units_of(problem)
    pieces = fewest_tandems(problem, units)
    if pieces is None or any(not piece.starts and not piece.flipped_starts for piece in pieces):
        return None
    packed = [each for order in _orders(pieces) if (each := _packed(problem, pieces, order)) is not None]
    packed = packed or [each for each in (_packed(problem, pieces, _tall_first(pieces)),) if each is not None]
    if not packed:
        return None
    least = min(spread for spread, _ in packed)
    bound = lower_bound(problem, units)
    boards = [Board(problem, pieces, at=at) for spread, at in packed if spread == least]
    best = balanced(boards, enough=bound)
    cost = cost_of(problem, best.layout())
    bound = closer_bound(problem, units, cost=cost.total)
    if bound < cost.total and any(piece.present for piece in pieces):
        best = wandered(best)
        cost = cost_of(problem, best.layout())
    return Solved("plain", best.layout(), cost, min(bound, cost.total))


def _orders(pieces: Sequence[Piece]) -> Iterator[_Order]:
    """What is tied to a place first; then room by room, in three orders; at last, whatever stands two high first."""
    free_spaces = max((len(piece.starts | piece.flipped_starts) for piece in pieces), default=0)
    tied = [piece for piece in pieces if piece.present or 2 * len(piece.starts | piece.flipped_starts) < free_spaces]
    tied.sort(key=lambda piece: (not piece.fixed, len(piece.starts | piece.flipped_starts), -piece.size))
    rest = [piece for piece in pieces if piece not in tied]
    rooms: dict[str, list[Piece]] = {}
    for piece in rest:
        rooms.setdefault(piece.rooms[0] if piece.rooms else "", []).append(piece)
    loose = rooms.pop("", [])
    tall_first = [sorted(room, key=lambda piece: (-piece.size, -piece.rating_a)) for room in rooms.values()]

    def spaces(room: Sequence[Piece]) -> int:
        return sum(piece.size for piece in room)

    ends = [[piece] for piece in sorted(loose, key=lambda piece: -piece.size)]
    starts = [[piece] for piece in tied]
    even_first = sorted(tall_first, key=lambda room: (spaces(room) % 2, -spaces(room)))
    yield [*starts, *even_first, *ends]
    yield [*starts, *sorted(tall_first, key=lambda room: -spaces(room)), *ends]
    yield [*starts, *tall_first, *ends]
    every = sorted(rest, key=lambda piece: (-piece.size, -piece.rating_a))
    yield [*starts, *([piece] for piece in every)]


def _tall_first(pieces: Sequence[Piece]) -> _Order:
    """Whatever stands two high first, though it was elsewhere: in a full panel that stays, single ones bar its way."""
    tall = sorted(pieces, key=lambda piece: (not piece.fixed, -piece.size, len(piece.starts | piece.flipped_starts)))
    return [[piece] for piece in tall]


def _packed(problem: PanelProblem, pieces: Sequence[Piece], order: _Order) -> tuple[int, tuple[At, ...]] | None:
    """Every group as high up and as close together as it goes: the cost of it and where each piece is. None where
    something finds no place."""
    board = Board(problem, pieces)
    for group in order:
        if not _group_packed(board, group):
            return None
    return board.spread, board.standing()


def _group_packed(board: Board, group: Sequence[Piece]) -> bool:
    best: tuple[int, int] | None = None
    least = -(-sum(piece.size for piece in group) // 2)
    for first_row in range(board.rows):
        spread = _try_from(board, group, first_row)
        if spread is None:
            continue
        for piece in group:
            board.lift(piece)
        if best is None or spread < best[0]:
            best = (spread, first_row)
        if spread <= least:
            break
    if best is None:
        return False
    _try_from(board, group, best[1])
    return True


def _try_from(board: Board, group: Sequence[Piece], first_row: int) -> int | None:
    """Put a group down from this row on; the rows it then reaches over. Nothing stays where one finds no place."""
    put: list[Piece] = []
    for piece in group:
        at = board.first_free(piece, first_row)
        if at is None:
            for each in put:
                board.lift(each)
            return None
        board.put(piece, *at)
        put.append(piece)
    rooms = dict.fromkeys(room for piece in group for room in piece.rooms)
    if not rooms:
        return max(board.row(piece) for piece in group) - first_row + 1
    return sum(board.span(room) for room in rooms)
