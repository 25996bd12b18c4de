"""Outlines of buildings, and the arrows that lead from one sheet to another."""

from __future__ import annotations

from driploop.drawings import symbols
from driploop.drawings.display import BODY, LINE_HEIGHT, THIN, Group, Rect, Text, shortened
from driploop.drawings.layout import BESIDE, FROM_HEIGHT, SPINE, STUB_WIDTH, Frame, Placed
from driploop.rules.readings import Readings

OUTLINE = "6 3"


def frame_title(readings: Readings, building: str) -> str:
    """The name of a building as its outline prints it."""
    known = readings.installation.buildings.get(building)
    return known.title if known is not None else building


def draw_frame(readings: Readings, frame: Frame) -> Group:
    """The dashed outline of a building with its name."""
    box, title = frame.box, frame_title(readings, frame.building)
    outline = Rect(box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0, THIN, OUTLINE, radius=4)
    return Group(f"outline/{frame.building}", title, (outline, Text(frame.title_x, box.y0 + 10.5, title, BODY, True)))


def draw_stub(id: str, title: str, placed: Placed, *, start: float, sheet: int) -> Group:
    """The arrow to an enclosure that is drawn on another sheet."""
    x, y = placed.spine, placed.y
    room = STUB_WIDTH - SPINE - BESIDE
    items = (
        symbols.line((x, start), (x, y)),
        *symbols.arrow_down(x, y, 14),
        Text(x + BESIDE, y + 8, shortened(title, room), BODY),
        Text(x + BESIDE, y + 8 + LINE_HEIGHT, f"sheet {sheet}", BODY, True),
    )
    return Group(f"onward/{id}", f"{title}, sheet {sheet}", items)


def draw_from(id: str, title: str, first: Placed) -> Group:
    """The arrow from the enclosure on an earlier sheet that supplies this one."""
    words = f"from {title}, earlier sheet"
    items = (*symbols.arrow_down(first.spine, 0, FROM_HEIGHT - 6), Text(first.spine + BESIDE, 10, words, BODY, True))
    return Group(f"from/{id}", words, items)
