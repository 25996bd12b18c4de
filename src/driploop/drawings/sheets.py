"""One finished sheet: head, drawing and key put together on a letter page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from driploop.drawings import legend
from driploop.drawings.display import Arc, Circle, Drawing, Group, Item, Page, Polyline, Rect, Text
from driploop.drawings.legend import Entry

#: Room under the last line. [pt]
BOTTOM = 2.0


def moved(items: Sequence[Item], x: float, y: float) -> tuple[Item, ...]:
    """The items shifted to the right and downwards. [pt]"""
    return tuple(_moved(item, x, y) for item in items)


def _moved(item: Item, x: float, y: float) -> Item:
    match item:
        case Group():
            return replace(item, items=moved(item.items, x, y))
        case Polyline():
            return replace(item, points=tuple((px + x, py + y) for px, py in item.points))
        case Text() | Rect() | Circle() | Arc():
            return replace(item, x=item.x + x, y=item.y + y)


def room_taken(entries: Sequence[Entry], notes: Sequence[str], width: float) -> float:
    """Height that head and foot take from a page of this width. [pt]"""
    return legend.HEAD_HEIGHT + legend.foot_height(entries, notes, width) + BOTTOM


def finished(
    items: Sequence[Item], height: float, *, page: Page, id: str, title: str, description: str, number: int, count: int,
    entries: Sequence[Entry] = (), notes: Sequence[str] = (),
) -> Drawing:  # fmt: skip
    """A sheet as wide as its page, with its head above and its key below the drawing.

    Args:
        items: the drawing, from its own upper left corner.
        height: how tall it is. [pt]
        page: the page it is made for; its width becomes the sheet's.
        id: tells the sheet apart in a document.
        title: printed on top.
        description: for a reader who cannot see it.
        number: of this sheet, from 1.
        count: of sheets in all; a single sheet is not numbered.
        entries: the key to lines and symbols.
        notes: sentences under the key.
    """
    sheet = f"sheet {number} of {count}" if count > 1 else ""
    parts: list[Item] = [legend.head(title, sheet, page.width), *moved(items, 0, legend.HEAD_HEIGHT)]
    bottom = legend.HEAD_HEIGHT + height
    if entries or notes:
        parts.append(legend.foot(entries, notes, y=bottom, width=page.width))
        bottom += legend.foot_height(entries, notes, page.width)
    full = f"{title}, {sheet}" if sheet else title
    return Drawing(id, full, description, page.width, bottom + BOTTOM, tuple(parts))
