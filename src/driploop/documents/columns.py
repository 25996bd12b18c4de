"""How wide the columns of a table are: no word torn or run into its neighbor, the rest shared by need."""

from __future__ import annotations

import re
from collections.abc import Sequence

from driploop.documents.text import MAY_BREAK, TOGETHER, breakable, one_line
from driploop.drawings.display import text_width

#: Type sizes of the template's tables, and the room a cell keeps free at both sides together. [pt]
CELL_SIZE, HEAD_SIZE, CELL_ROOM = 8.0, 7.5, 7.0
#: Width of the text on a page. [pt]
PAGE_WIDTH = 540.0
_PIECES = re.compile("[^ \u200b-]+-?")


def column_widths(
    heads: Sequence[str], numbers: Sequence[bool], rows: Sequence[Sequence[Sequence[str]]], total: float = PAGE_WIDTH
) -> tuple[float, ...]:
    """The width of each column. [pt]

    Args:
        heads: the head of each column.
        numbers: whether a column holds numbers, which are never broken.
        rows: cells, each as its lines.
        total: width of the table. [pt]

    Returns:
        Widths that add up to ``total``. A column is at least as wide as its longest word, unless all together are
        too wide for the page; what is left is shared by the length of the text.
    """
    least, longest = [], []
    for place, (head, number) in enumerate(zip(heads, numbers, strict=True)):
        lines = [breakable(one_line(line)) for row in rows for line in row[place]]
        whole = [_width(line) for line in lines] or [0.0]
        words = [_width(word) for line in lines for word in _PIECES.findall(line)]
        head_words = [text_width(word, HEAD_SIZE, bold=True) for word in _PIECES.findall(breakable(head))]
        need = max([*head_words, *(whole if number else words), 0.0])
        usual = (max(whole) + sum(whole) / len(whole)) / 2
        least.append(need + CELL_ROOM)
        longest.append(max(need, usual) + CELL_ROOM)
    return _shared(least, longest, total)


def is_single(cells: Sequence[Sequence[str]], widths: Sequence[float], room: float = CELL_ROOM) -> bool:
    """Whether each cell of a row surely stands on one line of its column, so that its height is known beforehand.

    Args:
        cells: the row, each cell as its lines.
        widths: of the columns. [pt]
        room: what a cell keeps free at both sides together. [pt]
    """
    return all(
        len(lines) == 1 and _width(one_line(lines[0])) + room <= width
        for lines, width in zip(cells, widths, strict=True)
    )


def _width(words: str) -> float:
    return text_width(words.replace(TOGETHER, " ").replace(MAY_BREAK, ""), CELL_SIZE)


def _shared(least: Sequence[float], wanted: Sequence[float], total: float) -> tuple[float, ...]:
    if sum(least) >= total:
        return tuple(width * total / sum(least) for width in least)
    if sum(wanted) <= total:
        return tuple(width * total / sum(wanted) for width in wanted)
    widths = list(least)
    for _ in range(len(least)):
        open_ = [i for i in range(len(widths)) if widths[i] < wanted[i] - 0.01]
        spare = total - sum(widths)
        if not open_ or spare < 0.01:
            break
        # The square root keeps one long text from starving its neighbors.
        weights = {i: (wanted[i] - widths[i]) ** 0.5 for i in open_}
        for i, weight in weights.items():
            widths[i] = min(wanted[i], widths[i] + spare * weight / sum(weights.values()))
    return tuple(width * total / sum(widths) for width in widths)
