"""What stands round every drawing: its title, the sheet number, the key to lines and symbols."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from driploop.drawings import symbols
from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    LINE_HEIGHT,
    LONG_DASHED,
    MEDIUM,
    OUTLINE,
    THIN,
    Group,
    Item,
    Text,
    text_width,
    wrap,
)
from driploop.drawings.symbols import line

HEAD_HEIGHT = 24.0
FOOT_GAP = 7.0
_ENTRY_HEIGHT = 21.0
_SAMPLE_WIDTH = 25.0

#: A sample drawn round its middle left, and what it means.
Entry = tuple[Callable[[float, float], Sequence[Item]], str]


def head(title: str, sheet: str, width: float) -> Group:
    """Title at the left, sheet number at the right, a rule below."""
    room = width - text_width(sheet, BODY) - 12
    first = wrap(title, room, size=11, bold=True)[:1]
    items: list[Item] = [Text(0, 12, words, 11, True) for words in first]
    if sheet:
        items.append(Text(width, 12, sheet, BODY, anchor="end"))
    return Group("head", title, (*items, line((0, 17), (width, 17))))


def foot_height(entries: Sequence[Entry], notes: Sequence[str], width: float) -> float:
    """Room that key and notes take. [pt]"""
    rows = len(_rows(entries, width))
    lines = sum(len(wrap(note, width)) for note in notes)
    return FOOT_GAP + 6 + rows * _ENTRY_HEIGHT + (lines * LINE_HEIGHT + 4 if lines else 0)


def foot(entries: Sequence[Entry], notes: Sequence[str], *, y: float, width: float) -> Group:
    """The key and the notes under a drawing, from ``y`` down. [pt]"""
    items: list[Item] = [line((0, y + FOOT_GAP), (width, y + FOOT_GAP))]
    level = y + FOOT_GAP + 6
    for row in _rows(entries, width):
        x = 0.0
        for sample, words in row:
            items.extend(sample(x, level + _ENTRY_HEIGHT / 2))
            items.append(Text(x + _SAMPLE_WIDTH, level + _ENTRY_HEIGHT / 2 + 2.4, words))
            x += _entry_width(words)
        level += _ENTRY_HEIGHT
    for note in notes:
        for words in wrap(note, width):
            level += LINE_HEIGHT
            items.append(Text(0, level, words))
    return Group("key", "Key", tuple(items))


def _entry_width(words: str) -> float:
    return _SAMPLE_WIDTH + text_width(words, BODY) + 13


def _rows(entries: Sequence[Entry], width: float) -> list[list[Entry]]:
    rows: list[list[Entry]] = [[]]
    used = 0.0
    for entry in entries:
        across = _entry_width(entry[1])
        if rows[-1] and used + across > width:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += across
    return rows


def _stroke(weight: float, dash: str = "") -> Callable[[float, float], Sequence[Item]]:
    return lambda x, y: (line((x, y), (x + 20, y), weight=weight, dash=dash),)


def _upright(draw: Callable[[float, float], symbols.Symbol]) -> Callable[[float, float], Sequence[Item]]:
    return lambda x, y: draw(x + 12, y - draw(0, 0).height / 2).items


ONE_LINE_KEY: tuple[Entry, ...] = (
    (_stroke(THIN), "there and kept"),
    (_stroke(HEAVY), "new"),
    (_stroke(THIN, DASHED), "taken out or replaced"),
    (_stroke(THIN, OUTLINE), "building"),
    (_upright(symbols.breaker), "circuit breaker"),
    (_upright(symbols.fuse), "fuse"),
    (_upright(symbols.switch), "switch"),
    (_upright(symbols.not_known), "not known"),
    (lambda x, y: (line((x + 10, y - 10), (x + 10, y + 10)), *symbols.wire_ticks(x + 10, y, 4)),
     "wires: short, lines; long, neutral; with a ball, ground"),
    (lambda x, y: symbols.neutral_mark(x, y, bonded=True), "neutral bonded"),
    (lambda x, y: symbols.neutral_mark(x, y, bonded=False), "neutral kept apart"),
    (lambda x, y: symbols.arrow_down(x + 12, y - 7, 14), "branch circuits"),
)  # fmt: skip
GROUNDING_KEY: tuple[Entry, ...] = (
    (_stroke(THIN), "neutral"),
    (_stroke(MEDIUM, LONG_DASHED), "equipment ground"),
    (_stroke(MEDIUM), "grounding electrode conductor, bonding conductor"),
    (lambda x, y: (line((x + 10, y - 8), (x + 10, y + 8), weight=HEAVY * 1.4),), "main or other bonding jumper"),
    (lambda x, y: (line((x, y), (x + 20, y)), symbols.dot(x + 10, y, 1.8)), "joined; lines without a dot only cross"),
    (lambda x, y: symbols.earth(x + 10, y - 5), "in the earth"),
)  # fmt: skip
