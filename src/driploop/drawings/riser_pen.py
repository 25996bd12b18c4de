"""What a riser block is written with: strips from the top down, lines that pass through them, the measures of both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from driploop.drawings.display import MEDIUM, NAME, THIN, Item, Polyline
from driploop.drawings.site_places import Place
from driploop.installation.model import Equipment
from driploop.rules.readings import Readings

#: Words about heights stand left of this, lines that run up from the earth between this and the enclosures. [pt]
HEIGHTS = 116.0
LANE = 8.0
WALL, POLE = 330.0, HEIGHTS + 3.0
BOX, SPINE, INDENT, GAP = 158.0, 10.0, 20.0, 9.0
HEAD, ROOF = 18.0, 34.0
NAME_HEIGHT = NAME + 2.0
#: Where the arrow from grade to the attachment stands. [pt]
DIMENSION = 4.0


@dataclass(frozen=True, slots=True)
class Upright:
    """A line from one height of the block to another; it may pass over the end of a sheet."""

    x: float
    y0: float
    y1: float
    weight: float = MEDIUM
    dash: str = ""


@dataclass(frozen=True, slots=True)
class Strip:
    """What stands between two heights of a block and is never parted. [pt]"""

    y0: float
    y1: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class RiserBlock:
    """One place: its strips from the top down, and the lines through them."""

    place: Place
    strips: tuple[Strip, ...]
    uprights: tuple[Upright, ...]

    @property
    def height(self) -> float:
        """How tall it is in one piece. [pt]"""
        return self.strips[-1].y1


@dataclass(slots=True)
class Pen:
    """Writes a block from the top down."""

    readings: Readings
    place: Place
    left: float
    outside_right: float
    inside_right: float
    y: float = 0.0
    strips: list[Strip] = field(default_factory=list)
    uprights: list[Upright] = field(default_factory=list)
    #: The middle of each enclosure's left and right edge, once drawn.
    edges: dict[str, tuple[float, float, float]] = field(default_factory=dict)
    #: Levels of the attachments whose height above grade is known.
    measured: list[float] = field(default_factory=list)

    def strip(self, height: float, items: Sequence[Item]) -> None:
        """Close the strip that ends ``height`` further down."""
        self.strips.append(Strip(self.y, self.y + height, tuple(items)))
        self.y += height

    def outside(self, equipment: Equipment, *, above_inside: bool) -> bool:
        """Whether an enclosure is drawn outside the wall: known to hang outdoors, and not fed from inside."""
        return self.place.pole or (equipment.outdoors is True and not above_inside)


def arrow(x: float, tip: float, back: float) -> Polyline:
    """The head of an arrow; ``back`` says how far and to which side its foot lies. [pt]"""
    return Polyline(((x, tip), (x - 2, tip + back), (x + 2, tip + back), (x, tip)), THIN, filled=True)
