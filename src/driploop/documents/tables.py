"""Tables of the packet as plain data: a head, rows of text. The template draws them and decides nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from driploop.documents.columns import PAGE_WIDTH, column_widths, is_single
from driploop.documents.text import NOTHING

NOT_KNOWN = "not known"
#: Heads of the columns that hold references to worksheets.
CITING = ("Sheet", "Worksheet lines")

#: A cell: its words, or its words and what stands small beneath them.
Cell = str | tuple[str, str]


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its head, and whether it holds numbers."""

    head: str
    number: bool = False


@dataclass(frozen=True, slots=True)
class TableData:
    """A table ready for paper. ``rows`` hold text only."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""

    def as_data(self, width: float = PAGE_WIDTH) -> dict[str, Any]:
        """The table as JSON-ready data, its columns' widths worked out. [pt]"""
        cells = [[_lines(cell) for cell in row] for row in self.rows]
        widths = column_widths([c.head for c in self.columns], [c.number for c in self.columns], cells, width)
        return {
            "title": self.title,
            "columns": [
                {"head": c.head, "number": c.number, "cites": c.head in CITING, "width": round(width, 2)}
                for c, width in zip(self.columns, widths, strict=True)
            ],
            "rows": [[list(lines) for lines in row] for row in cells],
            # The template need not measure a row whose height is known.
            "single": [is_single(row, widths) for row in cells],
            "note": self.note,
        }


def _lines(cell: Cell) -> tuple[str, ...]:
    return (cell,) if isinstance(cell, str) else cell


def known(value: object, unit: str = "") -> str:
    """A fact of the survey as text; "not known" for None, yes or no for truth, no decimals that say nothing."""
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(str(each) for each in value) or "none"
    if isinstance(value, float):
        value = f"{value:,.2f}".rstrip("0").rstrip(".")
    elif isinstance(value, int):
        value = f"{value:,}"
    return f"{value} {unit}".rstrip()


def stated(value: object, unit: str = "") -> str:
    """As ``known``, but a dash for None: for columns in which an empty place is no question."""
    return NOTHING if value is None else known(value, unit)


def table(
    title: str,
    columns: Sequence[str | tuple[str, bool]],
    items: Iterable[Any],
    row: Callable[[Any], Sequence[Cell]],
    *,
    note: str = "",
) -> TableData:
    """A table of ``items``, one row each. A column that says nothing in any row is left out.

    Args:
        title: printed over it.
        columns: the heads; a pair of head and True for a column of numbers.
        items: what the rows tell about.
        row: the cells of one item.
        note: printed small under it.
    """
    rows = [tuple(row(item)) for item in items]
    heads = [Column(c) if isinstance(c, str) else Column(*c) for c in columns]
    kept = [i for i in range(len(heads)) if any(cells[i] not in ("", NOTHING) for cells in rows)]
    return TableData(title, tuple(heads[i] for i in kept), tuple(tuple(r[i] for i in kept) for r in rows), note)
