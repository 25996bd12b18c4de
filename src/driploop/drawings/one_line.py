"""The one-line diagram of an installation, as found or as proposed, on as many sheets as it needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from driploop.drawings import cells, legend
from driploop.drawings.cells import Cell, Circuits
from driploop.drawings.circuit_sheet import circuit_sheets
from driploop.drawings.display import BODY, POINTS_PER_INCH, PORTRAIT, Drawing, Item, Page, text_width
from driploop.drawings.frames import arrivals, draw_frame, draw_stub, frame_title, sheet_numbers, sheet_words, supplies
from driploop.drawings.layout import Block, Sheet, lay_out, single_sheet
from driploop.drawings.sheets import finished, room_taken
from driploop.installation import UTILITY
from driploop.rules.readings import Readings

COMPACT = Page(3.6 * POINTS_PER_INCH, PORTRAIT.height)


def one_lines(readings: Readings, *, title: str, compact: bool = False) -> tuple[Drawing, ...]:
    """The one-line diagram, each sheet made for a letter page (7.5 in by 9 in, or 10 in by 7 in laid on its side).

    Args:
        readings: the installation, as found or as proposed, with its readings.
        title: what stands on top of every sheet.
        compact: one small drawing with names, ratings, wires and bonds only, to stand beside another.

    Returns:
        The sheets in order: the diagram, then the circuits where the panels had no room for them. With ``compact``
        exactly one drawing, 3.6 in wide unless a single enclosure needs more, as tall as it must be.
    """
    id = f"one-line-{readings.installation.state}"
    if compact:
        return (_compact(readings, id=f"{id}-small", title=title),)
    notes = _notes(readings)
    taken = room_taken(legend.ONE_LINE_KEY, notes, PORTRAIT.width)
    sheets, drawn, listed = _laid_out(readings, taken)
    listings = circuit_sheets(readings, listed, width=PORTRAIT.width, height=PORTRAIT.height - legend.HEAD_HEIGHT - 4)
    count = len(sheets) + len(listings)
    numbers = sheet_numbers(sheets)
    diagrams = [
        finished(
            _items(readings, sheet, drawn, numbers), sheet.height, page=sheet.page, id=f"{id}-{number}", title=title,
            description=_description(sheet, drawn), number=number, count=count, entries=legend.ONE_LINE_KEY,
            notes=notes if number == len(sheets) else (),
        )
        for number, sheet in enumerate(sheets, 1)
    ]  # fmt: skip
    circuits = [
        finished(
            items, height, page=PORTRAIT, id=f"{id}-{number}", title=title, number=number, count=count,
            description="The circuits of each panel: space, amperes and poles, what it serves, wire.",
        )
        for number, (items, height) in enumerate(listings, len(sheets) + 1)
    ]  # fmt: skip
    return (*diagrams, *circuits)


def _compact(readings: Readings, *, id: str, title: str) -> Drawing:
    drawn = _cells(readings, circuits="left out", compact=True)
    sheet = single_sheet(_tree(readings, drawn), page=COMPACT)
    page = Page(max(sheet.width, COMPACT.width), sheet.height)
    return finished(
        _items(readings, sheet, drawn, {}), sheet.height, page=page, id=id, title=title,
        description=_description(sheet, drawn), number=1, count=1,
    )  # fmt: skip


def _laid_out(readings: Readings, taken: float) -> tuple[tuple[Sheet, ...], Mapping[str, Cell], Sequence[str]]:
    """Sheets, cells, and the panels whose circuits must be listed apart.

    Circuits stand beside their panels if everything then goes on one sheet; else on sheets of their own.
    """
    panels = [id for id in readings.graph.order if readings.graph.circuits_of(id)]
    ways: tuple[Circuits, ...] = ("beside", "below")
    if any(len(readings.graph.circuits_of(id)) > cells.TWO_COLUMNS for id in panels):
        ways = ()
    for circuits in ways:
        drawn = _cells(readings, circuits=circuits, compact=False)
        sheets = lay_out(_tree(readings, drawn), taken_height=taken)
        if len(sheets) == 1 and sheets[0].fits:
            return sheets, drawn, ()
    drawn = _cells(readings, circuits="elsewhere", compact=False)
    return lay_out(_tree(readings, drawn), taken_height=taken), drawn, panels


def _cells(readings: Readings, *, circuits: Circuits, compact: bool) -> dict[str, Cell]:
    drawn = {UTILITY: cells.utility_cell(readings)}
    for id in readings.graph.order:
        if id != UTILITY:
            drawn[id] = cells.equipment_cell(readings, id, circuits=circuits, compact=compact)
    return drawn


def _tree(readings: Readings, drawn: Mapping[str, Cell]) -> Block:
    """The utility and all it supplies; what has no known supply stands beside, without a line."""
    adrift = [id for id in readings.graph.order if id not in readings.graph.run_into and id != UTILITY]
    return _block(readings, UTILITY, drawn, adrift)


def _block(readings: Readings, id: str, drawn: Mapping[str, Cell], adrift: Sequence[str] = ()) -> Block:
    cell = drawn[id]
    below = [readings.installation.runs[run].to or "" for run in readings.graph.runs_out.get(id, ())]
    equipment = readings.installation.equipment.get(id)
    frame = equipment.building if equipment is not None and id != UTILITY else None
    return Block(
        id, cell.width, cell.height, cell.drop_width, cell.drop_height, frame,
        text_width(frame_title(readings, frame), BODY, bold=True) if frame else 0.0,
        tuple(_block(readings, child, drawn) for child in (*below, *adrift) if child in drawn),
    )  # fmt: skip


def _items(readings: Readings, sheet: Sheet, drawn: Mapping[str, Cell], numbers: Mapping[str, int]) -> tuple[Item, ...]:
    items: list[Item] = [draw_frame(readings, frame) for frame in sheet.frames]
    for placed, above in supplies(sheet, readings.graph.source_of):
        cell = drawn[placed.block.id]
        start = placed.line_y
        if above is not None and not placed.on_row:
            start = cells.bus_level(drawn[above.block.id], above)
        if placed.block.stub:
            where = sheet_words(cell.id, sheet, numbers)
            items.append(draw_stub(cell.id, cell.title, placed, start=start, sheet=where))
            continue
        name = cells.device_name(readings, cell.run) if cell.run is not None else None
        device = cells.SYMBOLS[name](placed.spine, start) if name and above is not None else None
        drop = cells.draw_drop(cell, placed, start_y=start, device=device)
        items += [*([drop] if drop else []), cells.draw_cell(cell, placed)]
    return (*items, *arrivals(sheet, {id: cell.title for id, cell in drawn.items()}, numbers))


def _description(sheet: Sheet, drawn: Mapping[str, Cell]) -> str:
    names = ", ".join(drawn[placed.block.id].title for placed in sheet.placed if not placed.block.stub)
    return f"One-line diagram from the supply downwards: {names}."


def _notes(readings: Readings) -> tuple[str, ...]:
    """What the drawing cannot show: what the work takes out, and runs whose ends nobody knows."""
    now = readings.installation
    loose = [run.title for run in now.runs.values() if run.to is None or run.from_ is None]
    gone: list[str] = []
    if readings.found is not None:
        gone += [part.title for id, part in readings.found.equipment.items() if id not in now.equipment]
        gone += [part.title for id, part in readings.found.runs.items() if id not in now.runs]
    notes = (("Taken out", gone), ("Not drawn, because an end is not known", loose))
    return tuple(f"{what}: {', '.join(titles)}." for what, titles in notes if titles)
