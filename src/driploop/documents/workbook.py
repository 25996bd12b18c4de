"""The schedules of a plan as a workbook of sheets, for whoever counts or orders with one. Same plan, same bytes.

What people typed is always written as text: no cell of it is ever taken for a formula or an address.
"""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Iterator
from functools import partial
from importlib.util import find_spec
from typing import Any

from driploop.documents.circuits import circuit_tables
from driploop.documents.electrical import fault_current_table, start_table, voltage_drop_table
from driploop.documents.panel import balance_table
from driploop.documents.register import Register
from driploop.documents.schedules import (
    conductor_table,
    electrode_conductor_table,
    jumper_table,
    load_table,
    method_table,
    neutral_table,
    raceway_table,
    system_table,
    wire_table,
)
from driploop.documents.soil_and_drop import drop_table, earth_table
from driploop.documents.tables import Cell, TableData, table
from driploop.planning import Plan
from driploop.worksheet import DriploopError

#: The clock of the file: the same for every plan, so that the same plan gives the same bytes.
_MOMENT = datetime.datetime(2020, 1, 1)
_MOST_LETTERS = 31
_NUMBER = re.compile(r"(-?\d[\d,]*(?:\.\d+)?)(?: (A|VA|V|%|ft|lb|in))?")
_WIDEST = 60


class WorkbookMissingError(DriploopError):
    """The optional library for workbooks is missing."""


def workbook(plan: Plan) -> bytes:
    """The schedules of what will stand, a sheet each, and the worksheets they cite.

    Args:
        plan: the plan.

    Raises:
        WorkbookMissingError: the optional library is missing; the message says how to get it.
    """
    if find_spec("xlsxwriter") is None:
        raise WorkbookMissingError(
            "A workbook needs the library xlsxwriter, which is not installed.\n"
            '  do       Install it with  pip install "driploop[web]"  or take the data as JSON: it needs nothing more.'
        )
    from xlsxwriter import Workbook

    out = io.BytesIO()
    book = Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
                          "strings_to_numbers": False})  # fmt: skip
    book.set_properties({"title": plan.job.header.title, "created": _MOMENT})
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    text = book.add_format({"text_wrap": True, "valign": "top"})
    formats: dict[tuple[str, int], Any] = {}
    names: set[str] = set()
    for name, data in schedules(plan):
        if not data.rows:
            continue
        sheet = book.add_worksheet(_name(name, names))
        sheet.freeze_panes(1, 1)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        for number, column in enumerate(data.columns):
            widest = max((len(_words(row[number])) for row in data.rows), default=0)
            sheet.set_column(number, number, min(max(widest, len(column.head)) + 2, _WIDEST))
            sheet.write_string(0, number, column.head, head)
        for place, row in enumerate(data.rows, start=1):
            for number, cell in enumerate(row):
                words = _words(cell)
                value = _NUMBER.fullmatch(words) if data.columns[number].number else None
                if value is not None:
                    unit, decimals = value[2] or "", len(value[1].partition(".")[2])
                    if (unit, decimals) not in formats:
                        shown = {"num_format": _shown_as(unit, decimals), "valign": "top"}
                        formats[unit, decimals] = book.add_format(shown)
                    amount = float(value[1].replace(",", ""))
                    sheet.write_number(place, number, amount, formats[unit, decimals])
                else:
                    sheet.write_string(place, number, words, text)
    book.close()
    return out.getvalue()


def schedules(plan: Plan) -> Iterator[tuple[str, TableData]]:
    """Every schedule by the name of its sheet; last, the lines of the worksheets that they cite."""
    readings, register = plan.final, Register()

    cite = partial(register.cite, "P" if plan.proposed else "F")

    yield "Loads", load_table(readings, cite)
    yield "Methods", method_table(readings, cite)
    yield "Conductors", conductor_table(readings, cite)
    yield "Raceways", raceway_table(readings, cite)
    yield "Neutral", neutral_table(readings)
    yield "Wires", wire_table(readings)
    yield "Bonding jumpers", jumper_table(readings, cite)
    yield "Electrode systems", system_table(readings)
    yield "Electrode conductors", electrode_conductor_table(readings, cite)
    yield "Resistance to earth", earth_table(plan, cite)
    yield "Overhead runs", drop_table(plan, cite)
    for data in circuit_tables(plan, cite):
        yield data.title, data
    if readings.faults.largest:
        yield "Fault currents", fault_current_table(readings, cite)
        yield "Voltage lost", voltage_drop_table(readings, cite)
        yield "Motors that start", start_table(readings, cite)
    for panel in plan.panels:
        yield f"Lines of {panel.title}", balance_table(panel, cite)
        yield f"Card of {panel.title}", table(
            panel.title, ["Space", "Line", "Device", "Feeds"], panel.directory,
            lambda line: (line.spaces, line.leg, line.amperes, line.words),
        )  # fmt: skip
    lines = [(entry, place, line) for entry in register.entries() for place, line in enumerate(entry.lines, start=1)]
    yield "Worksheets", table(
        "Worksheets", ["Sheet", "Of", "What", "Working", "Answer", "Section", "Known"], lines,
        lambda each: (f"{each[0].number}.{each[1]}", each[0].title, each[2].what, each[2].working, each[2].result.text,
                      each[2].result.section, each[2].result.confirmed),
    )  # fmt: skip


def _shown_as(unit: str, decimals: int) -> str:
    """How a number with its unit is shown, with as many decimals as on paper."""
    return "#,##0" + (f".{'0' * decimals}" if decimals else "") + (f'" {unit}"' if unit else "")


def _words(cell: Cell) -> str:
    return cell if isinstance(cell, str) else "\n".join(part for part in cell if part)


def _name(words: str, taken: set[str]) -> str:
    """A sheet's name as the format allows it, unlike every other."""
    plain = re.sub(r"[\[\]:*?/\\']+", " ", words).strip()[:_MOST_LETTERS].strip() or "Sheet"
    name, number = plain, 2
    while name.lower() in taken or name.lower() == "history":
        name, number = f"{plain[: _MOST_LETTERS - 4].strip()} {number}", number + 1
    taken.add(name.lower())
    return name
