"""Trading places on a packed board until the lines balance: one trade at a time, then two and three together."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from driploop.panel.cost import AMPERE, MOVE, ROW, TENTHS
from driploop.panel.pieces import At, Board, Piece

#: How often a balanced board is shaken and balanced again, all boards together. Counted, not timed: the same anywhere.
SHAKES = 7
#: The most trades of which threes are looked for.
MOST_FOR_THREES = 60
#: The most trades of any kind, where rooms may give way, that are tried out on a board; and up to which size of a board
#: (pieces by spaces) that is done after every shaking.
MOST_WIDE = 1200
SMALL = 240
#: In a panel that stays: how many trades are tried at random, and how much worse the first of them may be.
#: [tenths of an ampere]
WANDERINGS = 3000
WORSE = 30

_Moves = tuple[tuple[Piece, At], ...]


@dataclass(frozen=True, slots=True)
class _Trade:
    """Pieces that change place together, each with where it goes; and what that does to A less B. [tenths]"""

    moves: _Moves
    turn: tuple[int, ...]


def balanced(boards: Sequence[Board], *, enough: int) -> Board:
    """The best of the boards after trading, each shaken in turn and always in the same way.

    Args:
        boards: packed boards of the same pieces; none of them is changed.
        enough: a cost that cannot be beaten: where it is met, the search ends.
    """
    first = boards[0]
    starts = list(dict.fromkeys(board.standing() for board in boards))
    shaking = Random(2)
    best: tuple[int, tuple[At, ...]] | None = None
    rounds = SHAKES if len(first.pieces) * first.spaces > SMALL else 2 * SHAKES
    for round_ in range(rounds):
        board = Board(first.problem, first.pieces, at=starts[round_ % len(starts)])
        if round_ >= len(starts):
            _shake(board, shaking)
        _settle(board)
        if len(board.pieces) * board.spaces <= SMALL:
            _settle_wide(board)
        cost = _cost(board)
        if best is None or cost < best[0]:
            best = (cost, board.standing())
        if -(-best[0] // TENTHS) <= enough:
            break
    assert best is not None
    board = Board(first.problem, first.pieces, at=best[1])
    if any(piece.present for piece in board.pieces) and -(-best[0] // TENTHS) > enough:
        _settle_wide(board)
    return board


def wandered(start: Board) -> Board:
    """The best board met by trading at random, at first also for the worse and less and less so; always the same way.

    In a panel that stays, a room is drawn together only past boards that are worse than the one at hand.
    """
    board = Board(start.problem, start.pieces, at=start.standing())
    shaking = Random(3)
    now = _cost(board)
    best, at = now, board.standing()
    for step in range(WANDERINGS):
        allowed = WORSE * (WANDERINGS - step) // WANDERINGS
        one = board.pieces[int(shaking.random() * len(board.pieces))]
        moves = _exchange(board, one, 1 + int(shaking.random() * board.spaces))
        back = None if moves is None else _made(board, moves)
        if back is None:
            continue
        after = _cost(board)
        if after > now + allowed:
            _made(board, back)
            continue
        now = after
        if now < best:
            best, at = now, board.standing()
    board = Board(start.problem, start.pieces, at=at)
    _settle_wide(board)
    return board


def _settle_wide(board: Board) -> None:
    """Trade anything for anything, as long as the cost falls and the number of trials lasts."""
    trials = 0
    better = True
    while better:
        better = False
        for one in board.pieces:
            for space in range(1, board.spaces + 1):
                moves = _exchange(board, one, space)
                if moves is None:
                    continue
                trials += 1
                if trials > MOST_WIDE:
                    return
                better |= _kept(board, moves)


def _exchange(board: Board, one: Piece, space: int) -> _Moves | None:
    """A piece to a space, and what lies there to where it was; None where that cannot be."""
    shift = space - one.space
    targets = (space,) if one.size == 1 else (space, space + 2)
    if shift == 0 or targets[-1] > board.spaces:
        return None
    here = [
        piece for piece in dict.fromkeys(board.on[each] for each in targets) if piece is not None and piece is not one
    ]
    if any(piece.space not in targets or piece.space + 2 * piece.size - 2 not in targets for piece in here):
        return None
    back = tuple((piece, (piece.space - shift, piece.flipped)) for piece in here)
    return ((one, (space, one.flipped)), *back)


def _shake(board: Board, shaking: Random) -> None:
    for trades, count in ((list(_room_trades(board)), 2), (list(_trades(board)), 8)):
        for _ in range(min(count, len(trades))):
            # Only ``random`` itself is promised to give the same numbers in every version of Python.
            _made(board, trades[int(shaking.random() * len(trades))].moves)


def _settle(board: Board) -> None:
    """Trade as long as the cost falls."""
    while True:
        trades = [*_trades(board), *_room_trades(board)]
        if not (_single(board, trades) or _several(board, trades)):
            return


def _cost(board: Board) -> int:
    """Balance in tenths, so that a tenth gained is seen, and all the rest."""
    return AMPERE * max(map(abs, board.signed), default=0) + TENTHS * board.spread


def _trades(board: Board) -> Iterator[_Trade]:
    """Swaps that keep the rooms together: within the rows that a room fills, onto another line."""
    ends = {room: board.ends(room) for room in board.members}
    whole = (0, board.rows)
    reach = {}
    for piece in board.pieces:
        rooms = [ends[room] for room in piece.rooms] or [whole]
        reach[piece] = (max(first for first, _ in rooms), min(last for _, last in rooms))
    for one in board.pieces:
        space = one.space
        if one.size == 2:
            if any(one.swing) and space in one.starts and space in one.flipped_starts:
                yield _trade(board, ((one, (space, not one.flipped)),))
            continue
        first, last = reach[one]
        row = (space - 1) >> 1
        for y in range(2 * first + 1, min(2 * last + 2, board.spaces) + 1):
            far = (y - 1) >> 1
            if (far ^ row) & 1 == 0 or y not in one.starts:
                continue
            other = board.on[y]
            if other is None:
                yield _trade(board, ((one, (y, False)),))
            elif other.size == 1 and (y > space or other.rooms != one.rooms):
                low, high = reach[other]
                if low <= row <= high and space in other.starts:
                    yield _trade(board, ((one, (y, False)), (other, (space, False))))


def _room_trades(board: Board) -> Iterator[_Trade]:
    """Rooms that change place as a whole: two as tall as each other, two neighbours, and one with a free row beside."""
    ends = {room: board.ends(room) for room in board.members}
    own = {room: [p for p in pieces if p.rooms == (room,)] for room, pieces in board.members.items()}
    rooms = [room for room, pieces in own.items() if len(pieces) == len(board.members[room])]

    def shifted(room: str, rows: int) -> _Moves:
        return tuple((piece, (piece.space + 2 * rows, piece.flipped)) for piece in own[room])

    for number, one in enumerate(rooms):
        first, last = ends[one]
        for rows in (-1, 1):
            if first + rows >= 0 and last + rows < board.rows:
                yield _trade(board, shifted(one, rows))
        for other in rooms[number + 1 :]:
            start, end = ends[other]
            tall, height = last - first, end - start
            if tall == height and (start - first) & 1:
                yield _trade(board, (*shifted(one, start - first), *shifted(other, first - start)))
            elif tall != height and start == last + 1:
                yield _trade(board, (*shifted(one, height + 1), *shifted(other, -tall - 1)))
            elif tall != height and first == end + 1:
                yield _trade(board, (*shifted(one, -height - 1), *shifted(other, tall + 1)))


def _trade(board: Board, moves: _Moves) -> _Trade:
    turn = [0] * len(board.signed)
    for piece, (space, flipped) in moves:
        before = (((piece.space - 1) >> 1) & 1) == piece.flipped
        after = (((space - 1) >> 1) & 1) == flipped
        if before != after:
            sign = 2 if after else -2
            for hour, swing in enumerate(piece.swing):
                turn[hour] += sign * swing
    return _Trade(moves, tuple(turn))


def _made(board: Board, moves: _Moves) -> _Moves | None:
    """Make the moves; what takes them back, or None (and nothing changed) where one is not lawful."""
    back = tuple((piece, (piece.space, piece.flipped)) for piece, _ in moves)
    for piece, _ in moves:
        board.lift(piece)
    for done, (piece, at) in enumerate(moves):
        if not board.may_stand(piece, at):
            for each, _ in moves[:done]:
                board.lift(each)
            for each, was in back:
                board.put(each, *was)
            return None
        board.put(piece, *at)
    return back


def _kept(board: Board, moves: _Moves) -> bool:
    """Make the moves if they are lawful and lower the cost."""
    rooms = {room for piece, _ in moves for room in piece.rooms}

    def cost() -> int:
        rows = ROW * sum(map(board.span, rooms))
        moved = MOVE * sum(piece.moved((piece.space, piece.flipped)) for piece, _ in moves)
        return AMPERE * max(map(abs, board.signed), default=0) + TENTHS * (rows + moved)

    before = cost()
    back = _made(board, moves)
    if back is None:
        return False
    if cost() < before:
        return True
    _made(board, back)
    return False


def _worst(signed: list[int], turn: tuple[int, ...]) -> int:
    worst = 0
    for s, t in zip(signed, turn, strict=True):
        worst = max(worst, abs(s + t))
    return worst


def _single(board: Board, trades: list[_Trade]) -> bool:
    now = max(map(abs, board.signed), default=0)
    after = sorted((worst, i) for i, trade in enumerate(trades) if (worst := _worst(board.signed, trade.turn)) < now)
    return any(_kept(board, trades[i].moves) for _, i in after)


def _several(board: Board, trades: list[_Trade]) -> bool:
    """Two trades, or three, that together balance better; looked up by what they must do in the worst hour."""
    signed = board.signed
    now = max(map(abs, signed), default=0)
    hour = max(range(len(signed)), key=lambda h: abs(signed[h]), default=None)
    if hour is None:
        return False
    trades = sorted((trade for trade in trades if any(trade.turn)), key=lambda trade: trade.turn[hour])
    turns = [trade.turn for trade in trades]
    keys = [turn[hour] for turn in turns]
    threes = range(len(trades)) if len(trades) <= MOST_FOR_THREES else ()
    for found in (_twos(signed, turns, keys, hour, now), _threes(signed, turns, keys, hour, now, threes)):
        for _, chosen in sorted(found):
            moves = tuple(move for i in chosen for move in trades[i].moves)
            if len({id(piece) for piece, _ in moves}) == len(moves) and _kept(board, moves):
                return True
    return False


def _twos(
    signed: list[int], turns: list[tuple[int, ...]], keys: list[int], hour: int, now: int, *, first: int = 0
) -> Iterator[tuple[int, tuple[int, ...]]]:
    need = -signed[hour]
    for i in range(first, len(turns)):
        one = turns[i]
        rest = [s + t for s, t in zip(signed, one, strict=True)]
        low = bisect_right(keys, need - keys[i] - now, i + 1)
        high = bisect_left(keys, need - keys[i] + now, low)
        for j in range(low, high):
            for part, turn in zip(rest, turns[j], strict=True):
                if not -now < part + turn < now:
                    break
            else:
                yield _worst(rest, turns[j]), (i, j)


def _threes(
    signed: list[int], turns: list[tuple[int, ...]], keys: list[int], hour: int, now: int, firsts: Iterable[int]
) -> Iterator[tuple[int, tuple[int, ...]]]:
    for i in firsts:
        rest = [s + t for s, t in zip(signed, turns[i], strict=True)]
        for worst, (j, k) in _twos(rest, turns, keys, hour, now, first=i + 1):
            yield worst, (i, j, k)
