"""Tables as pages show them: those of the packet, every number a link to the worksheet's line it comes from."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from driploop.documents.tables import CITING, Cell, TableData
from driploop.documents.text import NOTHING
from driploop.web.sheets import Citing, Reference
from driploop.worksheet import Line, Worksheet, plain

_NUMBER = re.compile(r"-?\d[\d,]*(?:\.\d+)?")
#: What a note of the papers says of the column that a page does not have.
_OF_PAPER = re.compile(r"\s*Worksheet lines:[^.;]*[.;]?(?:[^.]*\.)?")
#: Columns that hold what was counted or measured on site, or what the proposal states: facts, not answers.
FACTS = frozenset({"Has", "Found today", "Is there", "Span", "Measured, ohm", "Interrupts", "Device", "No."})


@dataclass(frozen=True, slots=True)
class ShownCell:
    """One cell. ``address`` leads to a worksheet's line, below the job's address; "" where it is no answer."""

    words: str
    small: str = ""
    address: str = ""
    number: bool = False
    fact: bool = False


@dataclass(frozen=True, slots=True)
class ShownRow:
    """One row: an anchor, its cells, its worksheets (short name, title, address), whether it is the one that counts."""

    id: str
    cells: tuple[ShownCell, ...]
    sheets: tuple[tuple[str, str, str], ...] = ()
    counts: bool = False


@dataclass(frozen=True, slots=True)
class ShownTable:
    """A table of a page. ``heads`` are words and whether the column holds numbers."""

    title: str
    heads: tuple[tuple[str, bool], ...]
    rows: tuple[ShownRow, ...]
    note: str = ""

    @property
    def has_sheets(self) -> bool:
        """Whether some row leads to a worksheet."""
        return any(row.sheets for row in self.rows)


def shown(
    data: TableData, citing: Citing, *, state: str, ids: Sequence[str] = (), sheets: Sequence[Worksheet] = (),
    counts: str = "", title: str | None = None,
) -> ShownTable:  # fmt: skip
    """A table of the packet for a page.

    Args:
        data: the table, its citing columns filled by ``citing``.
        citing: what it cited.
        state: found or proposed: whose worksheets they are.
        ids: an anchor for each row; none for no anchors.
        sheets: a worksheet for each row where the table cites none by itself.
        counts: the word of a cell that marks a row as the one that counts.
        title: another title.
    """
    kept = [i for i, column in enumerate(data.columns) if column.head not in CITING]
    cited = [i for i, column in enumerate(data.columns) if column.head in CITING]
    rows = []
    for number, row in enumerate(data.rows):
        references = citing.references(_words(row[i]) for i in cited)
        if not references and sheets:
            references = (Reference(sheets[number]),)
        cells = tuple(_cell(row[i], data.columns[i].head, data.columns[i].number, references, state) for i in kept)
        rows.append(
            ShownRow(
                ids[number] if ids else "", cells, _named(references, state),
                counts=bool(counts) and any(cell.words == counts for cell in cells),
            )
        )  # fmt: skip
    heads = tuple((data.columns[i].head, data.columns[i].number) for i in kept)
    return ShownTable(data.title if title is None else title, heads, tuple(rows), _OF_PAPER.sub("", data.note).strip())


def _named(references: Sequence[Reference], state: str) -> tuple[tuple[str, str, str], ...]:
    """Each worksheet by a name as short as the row allows."""
    if len(references) == 1:
        return (("Worksheet", references[0].sheet.title, references[0].address(state)),)
    return tuple((r.sheet.title.partition(",")[0], r.sheet.title, r.address(state)) for r in references)


def _words(cell: Cell) -> str:
    return cell if isinstance(cell, str) else " ".join(cell)


def _cell(cell: Cell, head: str, number: bool, references: Sequence[Reference], state: str) -> ShownCell:
    words, small = (cell, "") if isinstance(cell, str) else cell
    value = _NUMBER.search(words)
    if value is None or words == NOTHING:
        return ShownCell(words, small, number=number)
    exact = [(r, n) for r in references for n in _matching(r, words, value)]
    if exact:
        reference, line = exact[0]
        return ShownCell(words, small, reference.address(state, line), number)
    if number and references and head not in FACTS:
        return ShownCell(words, small, references[-1].address(state), number)
    return ShownCell(words, small, number=number, fact=head in FACTS)


def _matching(reference: Reference, words: str, value: re.Match[str]) -> list[int]:
    """Numbers of the lines whose answer a cell shows: those that were meant first."""
    lines = reference.sheet.lines
    order = [*reference.lines, *(n for n in range(1, len(lines) + 1) if n not in reference.lines)]
    return [n for n in order if _shows(words, value, lines[n - 1], meant=n in reference.lines)]


def _shows(words: str, value: re.Match[str], line: Line, *, meant: bool) -> bool:
    answer: float | int | str = line.result.value
    if isinstance(answer, str):
        return meant and bool(_NUMBER.search(answer)) and answer in words
    bare = not any(letter.isalpha() for letter in words)
    if not meant and not bare and line.result.unit and line.result.unit not in words:
        return False
    decimals = len(value[0].partition(".")[2])
    off = abs(abs(float(value[0].replace(",", ""))) - abs(float(answer)))
    if off <= 0.5000001 * 10**-decimals:
        return True
    # Resistances are told in two figures: they are bare numbers, and their worksheets have the rest.
    return bare and plain(float(f"{answer:.2g}")) == value[0]


def by_row(keys: Sequence[str], sheets: Mapping[str, Worksheet], pattern: str) -> list[Worksheet]:
    """The worksheet of each row where its id follows a pattern: ``trip/{}``."""
    return [sheets[pattern.format(key)] for key in keys]
