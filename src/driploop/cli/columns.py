"""Text in columns: rows aligned, cells folded where they must be, nothing ever cut off."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from rich.console import Console
from rich.text import Text

GAP = 2
FOLD_FROM = 18  # a cell longer than this may be folded where the width is short


def put(console: Console, words: str, indent: int = 0, *, hang: int = 0, style: str = "") -> None:
    """Print a paragraph, indented, its further lines by ``hang`` more; no blanks at the ends of lines."""
    room = max(console.width - indent - hang, 20)
    for number, line in enumerate(_folded(words, room)):
        _print(console, " " * (indent + (hang if number else 0)) + line, style)


def put_rows(
    console: Console,
    rows: Sequence[Sequence[str]],
    indent: int = 0,
    *,
    right: Sequence[int] = (),
    styles: Sequence[str] = (),
    least: Sequence[int] = (),
    heads: bool = False,
) -> bool:
    """Print rows in columns.

    Args:
        console: where to.
        rows: cells, as many in each row.
        indent: blanks before each line.
        right: places of the columns that stand to the right.
        styles: one for each row, none for plain.
        least: widths that columns have at the least, so that tables under each other stand in line.
        heads: whether the first row holds heads, which may be folded at every word.

    Returns:
        False, with nothing printed, where even folded columns do not fit the width.
    """
    widths = _widths(rows, console.width - indent, least, heads=heads)
    if widths is None:
        return False
    for row, style in zip_longest(rows, styles, fillvalue=""):
        cells = [_folded(cell, width) for cell, width in zip(row, widths, strict=True)]
        for parts in zip_longest(*cells, fillvalue=""):
            aligned = [part.rjust(width) if place in right else part.ljust(width)
                       for place, (part, width) in enumerate(zip(parts, widths, strict=True))]  # fmt: skip
            _print(console, " " * indent + (" " * GAP).join(aligned).rstrip(), str(style))
    return True


def _widths(rows: Sequence[Sequence[str]], room: int, least: Sequence[int], *, heads: bool) -> list[int] | None:
    columns = list(zip(*rows, strict=True))
    full = [max(len(cell) for cell in column) for column in columns]
    unfolded = [max((len(cell) for cell in column[heads:]), default=0) for column in columns]
    widths = [max(min(whole, FOLD_FROM), *(_longest_word(cell) for cell in column))
              for whole, column in zip(unfolded, columns, strict=True)]  # fmt: skip
    widths = [max(pair) for pair in zip_longest(widths, least, fillvalue=0)]
    spare = room - sum(widths) - GAP * (len(widths) - 1)
    if spare < 0:
        return None
    while spare and (short := [i for i, width in enumerate(widths) if width < full[i]]):
        for i in short[:spare]:
            widths[i] += 1
        spare -= len(short[:spare])
    return widths


def _longest_word(cell: str) -> int:
    return max((len(word) for word in cell.split()), default=0)


def _folded(words: str, room: int) -> list[str]:
    return textwrap.wrap(words, room, break_long_words=False, break_on_hyphens=False) or [""]


def _print(console: Console, line: str, style: str) -> None:
    console.print(Text(line), style=style, soft_wrap=True)
