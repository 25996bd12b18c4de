"""Where words touch other words or a line: what a drawing must never do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import hypot

from driploop.drawings.display import Box, Circle, Drawing, Polyline, Rect, Text, flat, groups, text_box

#: Words may come this near to a line before it counts as touching. [pt]
SLACK = 0.3


def collisions(drawing: Drawing) -> list[str]:
    """Every pair of words that overlap, every line through words, every word off the sheet; each told in words."""
    marks = list(flat(drawing.items))
    texts = [(text, text_box(text)) for text in marks if isinstance(text, Text) and text.words]
    found = [
        f"{a.words!r} on {b.words!r}"
        for i, (a, box) in enumerate(texts)
        for b, other in texts[:i]
        if box.overlaps(other)
    ]
    for mark in marks:
        for segment in _segments(mark):
            found += [f"line {segment} through {text.words!r}" for text, box in texts if _crosses(segment, box)]
        if isinstance(mark, Circle):
            found += [f"circle on {text.words!r}" for text, box in texts if _ring_touches(mark, box)]
    found += [
        f"{text.words!r} off the sheet" for text, box in texts if box.x1 > drawing.width or box.y1 > drawing.height
    ]
    sheet = Box(0, 0, drawing.width, drawing.height)
    found += [f"{text.words!r} off the sheet" for text, box in texts if sheet.joined(box) != sheet]
    return found


Segment = tuple[tuple[float, float], tuple[float, float]]


def _segments(mark: object) -> Iterator[Segment]:
    if isinstance(mark, Polyline):
        yield from zip(mark.points, mark.points[1:], strict=False)
    elif isinstance(mark, Rect) and not mark.fill:
        corners = _corners(Box(mark.x, mark.y, mark.x + mark.width, mark.y + mark.height))
        yield from zip(corners, [*corners[1:], corners[0]], strict=True)


def _corners(box: Box) -> list[tuple[float, float]]:
    return [(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)]


def _crosses(segment: Segment, box: Box) -> bool:
    """Whether a segment passes through a box (clipped side by side)."""
    (x0, y0), (x1, y1) = segment
    enter, leave = 0.0, 1.0
    room = ((x0, x1 - x0, box.x0 + SLACK, box.x1 - SLACK), (y0, y1 - y0, box.y0 + SLACK, box.y1 - SLACK))
    for start, step, low, high in room:
        if step == 0:
            if not low < start < high:
                return False
            continue
        near, far = sorted(((low - start) / step, (high - start) / step))
        enter, leave = max(enter, near), min(leave, far)
    return enter < leave


def _ring_touches(circle: Circle, box: Box) -> bool:
    """Whether a circle's line runs through a box; a letter wholly inside its circle is a symbol."""
    distances = [hypot(x - circle.x, y - circle.y) for x, y in _corners(box)]
    nearest_x = min(max(circle.x, box.x0), box.x1)
    nearest_y = min(max(circle.y, box.y0), box.y1)
    nearest = hypot(nearest_x - circle.x, nearest_y - circle.y)
    return nearest < circle.radius - SLACK and max(distances) > circle.radius + SLACK


def ids(drawings: Iterable[Drawing]) -> list[str]:
    """The ids of all groups of a set of drawings, as often as they occur."""
    return [group.id for drawing in drawings for group in groups(drawing.items)]
