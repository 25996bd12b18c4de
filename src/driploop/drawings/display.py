"""The display list: what every drawing is made of, before it becomes SVG or anything else.

Lengths are points (1/72 in), x to the right, y downwards. A ``Drawing`` is a plain value: two equal readings give two
equal drawings.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Literal

Anchor = Literal["start", "middle", "end"]
Colour = Literal["black", "white", "red", "orange", "yellow", "blue", "green"]

POINTS_PER_INCH = 72.0
#: Smallest letters on paper. [pt]
BODY = 7.0
#: Names of things. [pt]
NAME = 8.5
LINE_HEIGHT = 8.8
THIN, MEDIUM, HEAVY = 0.6, 1.0, 1.8
DASHED, LONG_DASHED, OUTLINE = "3 2", "7 2.5", "8 2.5 1 2.5"
#: Height of letters over and under the line they stand on, and of capitals, as a part of the type size: Source Sans 3.
ASCENT, DESCENT, CAPITAL = 0.72, 0.22, 0.66
#: Room kept over the measured width, for a viewer that substitutes a wider font.
SPARE = 1.05
NO_BREAK = "\u00a0"


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle: left, top, right, bottom. [pt]"""

    x0: float
    y0: float
    x1: float
    y1: float

    def joined(self, other: Box) -> Box:
        """The smallest box round both."""
        return Box(min(self.x0, other.x0), min(self.y0, other.y0), max(self.x1, other.x1), max(self.y1, other.y1))

    def overlaps(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line through points; filled when ``filled``, closed only if the last point repeats the first."""

    points: tuple[tuple[float, float], ...]
    weight: float = THIN
    dash: str = ""
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle from its upper left corner. ``fill`` is "" for none."""

    x: float
    y: float
    width: float
    height: float
    weight: float = THIN
    dash: str = ""
    fill: Colour | Literal[""] = ""
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle round its centre."""

    x: float
    y: float
    radius: float
    weight: float = THIN
    dash: str = ""
    fill: Colour | Literal[""] = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """A part of a circle, from one angle to another, clockwise on paper, 0 pointing right. [degrees]"""

    x: float
    y: float
    radius: float
    start: float
    end: float
    weight: float = THIN

    def point(self, angle: float) -> tuple[float, float]:
        """The point of the circle at an angle. [degrees]"""
        turn = math.radians(angle)
        return self.x + self.radius * math.cos(turn), self.y + self.radius * math.sin(turn)


@dataclass(frozen=True, slots=True)
class Text:
    """One line of words, ``y`` its baseline."""

    x: float
    y: float
    words: str
    size: float = BODY
    bold: bool = False
    anchor: Anchor = "start"
    colour: Colour = "black"


@dataclass(frozen=True, slots=True)
class Group:
    """Items that belong to one thing of the installation: ``id`` is its path, e.g. ``equipment/house-panel``."""

    id: str
    title: str
    items: tuple[Item, ...]


Item = Polyline | Rect | Circle | Arc | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """One sheet at its true size. ``id`` tells drawings apart that stand in one document."""

    id: str
    title: str
    description: str
    width: float
    height: float
    items: tuple[Item, ...]

    @property
    def landscape(self) -> bool:
        """Whether the sheet is made for a page laid on its side."""
        return self.width > PORTRAIT.width


@dataclass(frozen=True, slots=True)
class Page:
    """The room a letter page leaves for a drawing. [pt]"""

    width: float
    height: float


PORTRAIT = Page(7.5 * POINTS_PER_INCH, 9.0 * POINTS_PER_INCH)
LANDSCAPE = Page(10.0 * POINTS_PER_INCH, 7.0 * POINTS_PER_INCH)


@cache
def _widths(bold: bool) -> dict[str, int]:
    tables = json.loads((files(__package__) / "widths.json").read_text(encoding="utf-8"))
    widths: dict[str, int] = tables["bold" if bold else "regular"]
    return widths


@lru_cache(maxsize=8192)
def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of words in the shipped font, five percent spare included. [pt]

    Args:
        words: the line.
        size: type size. [pt]
        bold: whether it is set in bold.

    Source:
        Advance widths of the shipped font, ``widths.json``; a letter it lacks counts as wide as the capital M.
    """
    widths = _widths(bold)
    return sum(widths.get(letter, widths["M"]) for letter in words) * size / 1000 * SPARE


def wrap(words: str, width: float, *, size: float = BODY, bold: bool = False) -> tuple[str, ...]:
    """Words broken at spaces into lines no wider than ``width``; a longer word is broken where it must be. [pt]

    A no-break space keeps a number and its unit together; it comes back as a plain space.
    """
    lines: list[str] = []
    for word in words.split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size, bold=bold) <= width:
            lines[-1] = joined
            continue
        pieces = _broken(word, width, size=size, bold=bold)
        lines.extend(pieces)
    return tuple(line.replace(NO_BREAK, " ") for line in lines if line)


def _broken(word: str, width: float, *, size: float, bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width(pieces[-1] + letter, size, bold=bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def shortened(words: str, width: float, *, size: float = BODY, bold: bool = False) -> str:
    """Words cut to ``width``, an ellipsis standing for what is left out. [pt]"""
    if text_width(words, size, bold=bold) <= width:
        return words
    kept = words
    while kept and text_width(kept + "…", size, bold=bold) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def text_box(text: Text) -> Box:
    """The room a line of words takes on paper."""
    width = text_width(text.words, text.size, bold=text.bold)
    left = text.x - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    return Box(left, text.y - ASCENT * text.size, left + width, text.y + DESCENT * text.size)


def bounds(items: Iterable[Item]) -> Box:
    """The smallest box round all items. Raises ValueError when there are none."""
    boxes = [_item_box(item) for item in flat(items)]
    if not boxes:
        raise ValueError("nothing is drawn, so there are no bounds")
    whole = boxes[0]
    for box in boxes[1:]:
        whole = whole.joined(box)
    return whole


def _item_box(item: Polyline | Rect | Circle | Arc | Text) -> Box:
    match item:
        case Text():
            return text_box(item)
        case Rect():
            return Box(item.x, item.y, item.x + item.width, item.y + item.height)
        case Polyline():
            xs, ys = [x for x, _ in item.points], [y for _, y in item.points]
            return Box(min(xs), min(ys), max(xs), max(ys))
        case _:
            return Box(item.x - item.radius, item.y - item.radius, item.x + item.radius, item.y + item.radius)


def flat(items: Iterable[Item]) -> Iterator[Polyline | Rect | Circle | Arc | Text]:
    """Every single mark, out of its groups, in the order of drawing."""
    for item in items:
        if isinstance(item, Group):
            yield from flat(item.items)
        else:
            yield item


def groups(items: Iterable[Item]) -> Iterator[Group]:
    """Every group, outermost first."""
    for item in items:
        if isinstance(item, Group):
            yield item
            yield from groups(item.items)
