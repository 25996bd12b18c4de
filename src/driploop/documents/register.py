"""The worksheets of a packet: numbered as they are first cited, identical ones printed once.

A schedule cites through the register, so that a reference without a worksheet cannot be printed, nor a worksheet that
nothing cites.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

from driploop.documents.columns import is_single
from driploop.worksheet import Line, Worksheet

#: As found, as proposed, headroom, alternatives.
State = Literal["F", "P", "H", "A"]
#: Columns of a printed worksheet: number, what, working, answer, section; the room a cell keeps free. [pt]
SHEET_COLUMNS, SHEET_ROOM = (16.0, 170.0, 194.0, 72.0, 88.0), 6.0
#: The answer is bold, wider than what is measured; its mark and the section's indent take room too. [pt]
_BOLD, _MARK, _INDENT = 1.06, 4.0, 5.0
MARKS = {"memory": "m", "carried": "c", "derived": "d"}


@dataclass(slots=True)
class Entry:
    """One printed worksheet: what it is for, and every place it serves."""

    number: str
    title: str
    lines: tuple[Line, ...]
    places: dict[str, None] = field(default_factory=dict)


@dataclass(slots=True)
class Register:
    """Gives out numbers while the schedules of a packet are written."""

    _entries: dict[tuple[Line, ...], Entry] = field(default_factory=dict)
    _given: dict[str, int] = field(default_factory=dict)

    def cite(self, state: State, sheet: Worksheet, *keys: str, place: str = "") -> str:
        """Where figures are worked out: ``P7`` for a whole worksheet, ``P7.3, .5`` for the lines with these keys.

        Args:
            state: whose worksheet it is; one that was cited before with the same lines keeps its number.
            sheet: the worksheet.
            keys: of the lines meant; a key that the worksheet lacks is left out.
            place: the thing it is worked out for, printed beside its title.

        Returns:
            The reference, "" for a worksheet without lines.
        """
        if not sheet.lines:
            return ""
        entry = self._entries.get(sheet.lines)
        if entry is None:
            self._given[state] = self._given.get(state, 0) + 1
            entry = Entry(f"{state}{self._given[state]}", sheet.title, sheet.lines)
            self._entries[sheet.lines] = entry
        told = place if sheet.title == entry.title else sheet.title
        if told and told.casefold() not in entry.title.casefold():
            entry.places[told] = None
        there = {line.key for line in sheet.lines}
        places = dict.fromkeys(sheet.number_of(key) for key in keys if key in there)
        return entry.number + ", ".join(f".{line}" for line in places)

    def entries(self) -> tuple[Entry, ...]:
        """Every worksheet to be printed: headroom, alternatives, as proposed, as found, each in the order of citing."""
        order = {"H": 0, "A": 1, "P": 2, "F": 3}
        return tuple(sorted(self._entries.values(), key=lambda e: (order[e.number[0]], int(e.number[1:]))))


def entries_data(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """The worksheets as JSON-ready data."""
    return [
        {
            "number": entry.number,
            "title": entry.title,
            "places": list(entry.places),
            "lines": [
                {
                    "what": line.what,
                    "working": line.working,
                    "answer": line.result.text,
                    "section": line.result.section,
                    "mark": MARKS.get(line.result.confirmed, ""),
                    "single": _is_single(line),
                }
                for line in entry.lines
            ],
        }
        for entry in entries
    ]


def _is_single(line: Line) -> bool:
    _, what, working, answer, section = SHEET_COLUMNS
    cells = ([line.what], [line.working], [line.result.text], [line.result.section])
    return is_single(cells, (what, working, (answer - _MARK) / _BOLD, section - _INDENT), SHEET_ROOM)
