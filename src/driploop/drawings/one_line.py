"""The one-line diagram of an installation, as found or as proposed, on as many sheets as it needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from driploop.drawings import cells, circuit_sheet, legend, symbols, words
from driploop.drawings.cells import Cell, Circuits
from driploop.drawings.display import (
    BODY,
    DASHED,
    NAME,
    PORTRAIT,
    THIN,
    Drawing,
    Group,
    Item,
    Page,
    Rect,
    Text,
    shortened,
    text_width,
)
from driploop.drawings.layout import (
    FROM_HEIGHT,
    STUB_WIDTH,
    Block,
    Frame,
    Placed,
    Sheet,
    lay_out,
    single_sheet,
)
from driploop.drawings.shift import moved
from driploop.installation import UTILITY
from driploop.rules.readings import Readings

COMPACT_WIDTH = 3.6 * 72


def one_line(readings: Readings, *, title: str, compact: bool = False) -> tuple[Drawing, ...]:
    """The one-line diagram, each sheet made for a letter page (7.5 in by 9 in, or 10 in by 7 in laid on its side).

    Args:
        readings: the installation, as found or as proposed, with its readings.
        title: what stands on top of every sheet.
        compact: one small drawing with names, ratings, wires and bonds only, to stand beside another.

    Returns:
        The sheets in order: the diagram, then the circuits where the panels had no room for them. With ``compact``
        exactly one drawing, as tall as it must be.
    """
    state = readings.installation.state
    if compact:
        drawn = _cells(readings, circuits="left out", compact=True)
        sheet = single_sheet(_tree(readings, drawn), page=Page(COMPACT_WIDTH, PORTRAIT.height))
        items = _sheet_items(readings, sheet, drawn, {})
        return (_compact(f"one-line-{state}-small", title, sheet, items),)
    sheets, drawn = _full(readings)
    numbers = {sheet.root: number for number, sheet in enumerate(sheets, 1)}
    beside = any(cell.rows for cell in drawn.values())
    panels = [] if beside else [id for id in readings.graph.order if readings.graph.circuits_of(id)]
    circuit_sheets = circuit_sheet.circuit_sheets(readings, panels)
    count = len(sheets) + len(circuit_sheets)
    diagrams = [
        _framed(readings, sheet, _sheet_items(readings, sheet, drawn, numbers), title=title, number=number, count=count)
        for number, sheet in enumerate(sheets, 1)
    ]
    listings = [
        circuit_sheet.finished(items, height, id=f"one-line-{state}-{number}", title=title, sheet=_sheet(number, count))
        for number, (items, height) in enumerate(circuit_sheets, len(sheets) + 1)
    ]
    return (*diagrams, *listings)


def _full(readings: Readings) -> tuple[tuple[Sheet, ...], dict[str, Cell]]:
    """Circuits beside their panels if everything then stands on one sheet; else on sheets of their own."""
    taken = _taken(readings)
    most = max((len(readings.graph.circuits_of(id)) for id in readings.graph.order), default=0)
    if most <= cells.TWO_COLUMNS:
        drawn = _cells(readings, circuits="beside", compact=False)
        sheets = lay_out(_tree(readings, drawn), taken_height=taken)
        if len(sheets) == 1 and sheets[0].fits:
            return sheets, drawn
    drawn = _cells(readings, circuits="elsewhere", compact=False)
    return lay_out(_tree(readings, drawn), taken_height=taken), drawn


def _cells(readings: Readings, *, circuits: Circuits, compact: bool) -> dict[str, Cell]:
    drawn = {UTILITY: cells.utility_cell(readings)}
    for id in readings.graph.order:
        if id != UTILITY:
            drawn[id] = cells.equipment_cell(readings, id, circuits=circuits, compact=compact)
    return drawn


def _tree(readings: Readings, drawn: Mapping[str, Cell]) -> Block:
    """The utility and all it supplies; what has no known supply hangs there too, without a line."""
    adrift = [id for id in readings.graph.order if id not in readings.graph.run_into and id != UTILITY]
    return _block(readings, UTILITY, drawn, adrift)


def _block(readings: Readings, id: str, drawn: Mapping[str, Cell], more: Sequence[str] = ()) -> Block:
    cell = drawn[id]
    below = [readings.installation.runs[run].to for run in readings.graph.runs_out.get(id, ())]
    equipment = readings.installation.equipment.get(id)
    frame = equipment.building if equipment is not None and id != UTILITY else None
    return Block(
        id, cell.width, cell.height, cell.drop_width, cell.drop_height, frame,
        text_width(frame_title(readings, frame), BODY, bold=True) if frame else 0.0,
        tuple(_block(readings, child, drawn) for child in (*below, *more) if child in drawn),
    )  # fmt: skip


def frame_title(readings: Readings, building: str) -> str:
    """The name of a building on its outline."""
    known = readings.installation.buildings.get(building)
    return known.title if known is not None else building


def _sheet_items(
    readings: Readings, sheet: Sheet, drawn: Mapping[str, Cell], numbers: Mapping[str, int]
) -> tuple[Item, ...]:
    places = {placed.block.id: placed for placed in sheet.placed}
    items: list[Item] = [_frame(readings, frame) for frame in sheet.frames]
    for placed in sheet.placed:
        cell = drawn[placed.block.id]
        source = readings.graph.source_of(cell.id)
        above = places.get(source or "")
        if above is None:
            start = placed.line_y
        elif placed.on_row:
            start = placed.line_y
        else:
            start = cells.bus_level(drawn[above.block.id], above)
        if placed.block.stub:
            items.append(_stub(cell, placed, start, numbers))
            continue
        name = cells.device_name(readings, cell.run) if cell.run is not None else None
        device = cells.SYMBOLS[name](placed.spine, start) if name and above is not None else None
        drop = cells.draw_drop(cell, placed, start_y=start, device=device)
        items += [item for item in (drop, cells.draw_cell(cell, placed), *_further_rows(placed)) if item is not None]
    if sheet.fed_from is not None:
        items.append(_from(drawn[sheet.fed_from], sheet, numbers))
    return tuple(items)
