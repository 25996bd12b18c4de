"""A table of the code: rows as printed, each with how well it is known; exact, stepped and ranged look-up."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from driploop.editions.errors import NotInTable
from driploop.worksheet import Cited, Value

Cell = Value | None
Row = Mapping[str, Cell]

#: Rows printed in a message before the list is cut.
ROWS_SHOWN = 40
_NUMBER_STARTS = frozenset("-.0123456789")


@dataclass(frozen=True, slots=True)
class Table:
    """One table of one edition (or of the trade, for the common ones).

    ``edition`` is "" for a table of the trade. ``units`` names the unit of a column; a column without one holds a
    trade size, a word or a count. ``missing`` says which rows were never seen, "" when the table is whole.
    """

    name: str
    edition: str
    title: str
    section: str
    source: str
    units: Mapping[str, str]
    notes: tuple[str, ...]
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    state: str = "known"
    missing: str = ""

    def row(self, **keys: Value) -> Row:
        """The one row whose cells equal ``keys``. Raises NotInTable listing the rows there are."""
        self._check_columns(keys)
        for row in self.rows:
            if all(row[key] == asked for key, asked in keys.items()):
                return row
        raise NotInTable(self._no_row(_asked(keys), keys))

    def cell(self, column: str, /, **keys: Value) -> Cited:
        """The value of ``column`` in the row whose cells equal ``keys``. Raises NotInTable for no row or a blank."""
        return self.cite(self.row(**keys), column)

    def at_least(self, key_column: str, amount: float) -> Row:
        """The first row, in the table's order, whose ``key_column`` is ``amount`` or more.

        A blank key is the printed "over": it takes any amount. Raises NotInTable when the table ends before.
        """
        self._check_columns((key_column,))
        for row in self.rows:
            limit = row[key_column]
            if limit is None or _number(limit) >= amount:
                return row
        raise NotInTable(self._no_row(f"{key_column} of {amount:g} or more", (key_column,)))

    def within(self, from_column: str, to_column: str, amount: float) -> Row:
        """The row with from <= amount <= to; a blank is an open end. Raises NotInTable when no row holds it."""
        self._check_columns((from_column, to_column))
        for row in self.rows:
            low, high = row[from_column], row[to_column]
            if (low is None or _number(low) <= amount) and (high is None or amount <= _number(high)):
                return row
        raise NotInTable(self._no_row(f"{from_column} to {to_column} holding {amount:g}", (from_column, to_column)))

    def column(self, column: str) -> list[Cell]:
        """Every cell of ``column``, top to bottom; blanks are None."""
        self._check_columns((column,))
        return [row[column] for row in self.rows]

    def cite(self, row: Row, column: str) -> Cited:
        """The value of ``column`` in ``row`` with unit, section and how well the row is known.

        A row's own ``paragraph`` is nearer than the table's section, and its own ``unit`` holds for its ``value``.
        Raises NotInTable when the cell is blank.
        """
        self._check_columns((column,))
        value = row[column]
        if value is None:
            where = ", ".join(f"{key} {cell}" for key, cell in row.items() if cell is not None and key != "confirmed")
            raise NotInTable(f"{self._label()}: the table has no value there: {column} in the row of {where}.")
        unit = str(row.get("unit") or "") if column == "value" else self.units.get(column, "")
        return Cited(value, unit, str(row.get("paragraph") or self.section), str(row["confirmed"]))

    def _label(self) -> str:
        edition = f", {self.edition}" if self.edition else ""
        section = f" ({self.section}{edition})" if self.section else ""
        return f"{self.name}{section}"

    def _check_columns(self, columns: Iterable[str]) -> None:
        unknown = [column for column in columns if column not in self.columns]
        if unknown:
            raise NotInTable(f"{self._label()} has no column {', '.join(unknown)}; it has: {', '.join(self.columns)}.")

    def _no_row(self, asked: str, keys: Iterable[str]) -> str:
        columns = tuple(keys)
        rows = ["/".join("-" if row[c] is None else str(row[c]) for c in columns) for row in self.rows]
        shown = list(dict.fromkeys(rows))
        cut = f" ... and {len(shown) - ROWS_SHOWN} more" if len(shown) > ROWS_SHOWN else ""
        missing = f" {self.missing}" if self.missing else ""
        listed = ", ".join(shown[:ROWS_SHOWN])
        return f"{self._label()} has no row with {asked}. Rows ({'/'.join(columns)}): {listed}{cut}.{missing}"


def parse_table(text: str, *, name: str, edition: str) -> Table:
    """A table from its file: comment head, one header row, rows.

    Head lines are ``# key  words``: title, section, source, state and missing once; units as ``column=unit`` pairs
    and text as column names, both separated by commas; note as often as needed. A cell that reads as a number is a
    number unless its column stands under ``# text``.
    """
    lines = text.splitlines()
    split = next((i for i, line in enumerate(lines) if not line.startswith("#")), len(lines))
    head: dict[str, list[str]] = {}
    for line in lines[:split]:
        key, _, words = line[1:].strip().partition(" ")
        head.setdefault(key, []).append(words.strip())
    as_text = {column.strip() for words in head.get("text", ()) for column in words.split(",")}
    records = list(csv.reader(lines[split:]))
    columns = tuple(records[0]) if records else ()
    rows = tuple(
        MappingProxyType({c: _cell(v, text=c in as_text) for c, v in zip(columns, record, strict=True)})
        for record in records[1:]
    )
    return Table(
        name=name,
        edition=edition,
        title=_once(head, "title"),
        section=_once(head, "section"),
        source=_once(head, "source"),
        units=MappingProxyType(dict(_pairs(head.get("units", ())))),
        notes=tuple(head.get("note", ())),
        columns=columns,
        rows=rows,
        state=_once(head, "state") or "known",
        missing=_once(head, "missing"),
    )


def _once(head: Mapping[str, list[str]], key: str) -> str:
    return " ".join(head.get(key, ()))


def _pairs(lines: Iterable[str]) -> Iterable[tuple[str, str]]:
    for line in lines:
        for pair in filter(None, (part.strip() for part in line.split(","))):
            column, _, unit = pair.partition("=")
            yield column.strip(), unit.strip()


def _cell(written: str, *, text: bool) -> Cell:
    written = written.strip()
    if not written:
        return None
    if text:
        return written
    if written.isdigit():
        return int(written)
    if written[0] not in _NUMBER_STARTS:
        return written
    try:
        return float(written)
    except ValueError:
        return written


def _number(cell: Value) -> float:
    if isinstance(cell, str):
        raise NotInTable(f"{cell!r} is a word: this column cannot be compared with an amount.")
    return float(cell)


def _asked(keys: Mapping[str, Value]) -> str:
    return ", ".join(f"{key} {asked}" for key, asked in keys.items())
