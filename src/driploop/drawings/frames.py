"""Outlines of buildings, and the arrows that lead from one sheet to another."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from driploop.drawings import symbols
from driploop.drawings.display import (
    BODY,
    LINE_HEIGHT,
    OUTLINE,
    THIN,
    Group,
    Item,
    Rect,
    Text,
    shortened,
    text_width,
    wrap,
)
from driploop.drawings.layout import BESIDE, FROM_HEIGHT, SPINE, STUB_WIDTH, Frame, Placed, Sheet
from driploop.rules.readings import Readings


def frame_title(readings: Readings, building: str) -> str:
    """The name of a building as its outline prints it."""
    known = readings.installation.buildings.get(building)
    return known.title if known is not None else building


def supplies(sheet: Sheet, source_of: Callable[[str], str | None]) -> Iterator[tuple[Placed, Placed | None]]:
    """Every placed block with the one on this sheet whose line reaches it; None for the first of a branch."""
    places = {placed.block.id: placed for placed in sheet.placed if not placed.block.stub}
    first = {root for root, _ in sheet.roots}
    for placed in sheet.placed:
        id = placed.block.id
        begins = id in first and not placed.block.stub
        yield placed, None if begins else places.get(source_of(id) or "")


def sheet_numbers(sheets: Sequence[Sheet]) -> dict[str, int]:
    """On which sheet every block is drawn, counted from 1."""
    return {
        placed.block.id: number
        for number, sheet in enumerate(sheets, 1)
        for placed in sheet.placed
        if not placed.block.stub
    }


def sheet_words(id: str, sheet: Sheet, numbers: Mapping[str, int]) -> str:
    """Where another block is drawn: "sheet 2", or "this sheet"."""
    return "this sheet" if sheet.shows(id) else f"sheet {numbers[id]}"


def arrivals(sheet: Sheet, titles: Mapping[str, str], numbers: Mapping[str, int]) -> list[Group]:
    """The arrows into a sheet from the blocks that supply its branches."""
    places = {placed.block.id: placed for placed in sheet.placed if not placed.block.stub}
    return [
        _draw_from(supply, titles[supply], places[root], sheet=sheet_words(supply, sheet, numbers))
        for root, supply in sheet.roots
        if supply is not None
    ]


def draw_frame(readings: Readings, frame: Frame) -> Group:
    """The dashed outline of a building with its name."""
    box, title = frame.box, frame_title(readings, frame.building)
    outline = Rect(box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0, THIN, OUTLINE, radius=4)
    return Group(f"outline/{frame.building}", title, (outline, Text(frame.title_x, box.y0 + 10.5, title, BODY, True)))


def draw_stub(id: str, title: str, placed: Placed, *, start: float, sheet: str) -> Group:
    """The arrow to an enclosure that is drawn on another sheet."""
    x, y = placed.spine, placed.y
    room = STUB_WIDTH - SPINE - BESIDE
    items: list[Item] = [symbols.line((x, start), (x, y)), *symbols.arrow_down(x, y, 14)]
    level = y + 8
    for words in _two_lines(title, room):
        items.append(Text(x + BESIDE, level, words, BODY))
        level += LINE_HEIGHT
    items.append(Text(x + BESIDE, level, sheet, BODY, True))
    return Group(f"onward/{id}", f"{title}, {sheet}", tuple(items))


def _two_lines(words: str, width: float) -> tuple[str, ...]:
    first, *rest = wrap(words, width)
    return (first, shortened(" ".join(rest), width)) if rest else (first,)


def _draw_from(id: str, title: str, first: Placed, *, sheet: str) -> Group:
    """The arrow from the enclosure on an earlier sheet that supplies this one."""
    top = first.line_y - FROM_HEIGHT
    tail = f", {sheet}"
    across = max(first.block.width - SPINE - BESIDE, first.block.drop_width)
    room = across - text_width(f"from {tail}", BODY, bold=True)
    words = f"from {shortened(title, room, bold=True)}{tail}"
    items = (
        *symbols.arrow_down(first.spine, top, FROM_HEIGHT - 6),
        Text(first.spine + BESIDE, top + 10, words, BODY, True),
    )
    return Group(f"from/{id}", words, items)
