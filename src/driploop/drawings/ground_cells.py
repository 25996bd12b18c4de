"""One enclosure of a grounding drawing: its neutral and ground bars, what joins them, and electrodes in the earth."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.drawings import symbols, words
from driploop.drawings.cells import BORDER
from driploop.drawings.display import (
    BODY,
    HEAVY,
    LINE_HEIGHT,
    LONG_DASHED,
    MEDIUM,
    NAME,
    THIN,
    Arc,
    Circle,
    Group,
    Item,
    Rect,
    Text,
    text_width,
    wrap,
)
from driploop.drawings.layout import BESIDE, SIBLING_GAP, SPINE, Placed
from driploop.drawings.symbols import line
from driploop.installation.model import Run

TEXT_X = SPINE + 20.0
TEXT_WIDTH = 150.0
TOP = 5.0
#: From the words of an enclosure to its neutral bar, from there to its ground bar, from there to its bottom. [pt]
TO_NEUTRAL, BAR_GAP, BELOW = 12.0, 26.0, 9.0
#: The equipment ground runs this far left of the neutral; the bonding jumper this far right of the first line. [pt]
GROUND_SHIFT, JUMPER_SHIFT = 8.0, 34.0
#: A second branch's ground line stands at least this far right of where the first branch ends. [pt]
FIRST_BRANCH = SIBLING_GAP + SPINE - GROUND_SHIFT - 2
RUNG_ROOM = 5.0
#: The equipment ground of a further row runs this far over its neutral. [pt]
ROW_GROUND = 6.0
RUNG_TEXT = 30.0


@dataclass(frozen=True, slots=True)
class GroundCell:
    """What one enclosure prints. ``bond`` are the words beside the jumper, or beside the gap where there is none."""

    id: str
    title: str
    border: words.Standing
    name: tuple[str, ...]
    lines: tuple[str, ...]
    bonded: bool | None
    bond: tuple[str, ...]
    run: Run | None
    drop: tuple[str, ...]
    has_ground_path: bool
    has_neutral: bool

    @property
    def width(self) -> float:
        """Room across. [pt]"""
        texts = [text_width(text, NAME, bold=True) for text in self.name] + [
            text_width(text, BODY) for text in self.lines
        ]
        beside = [text_width(text, BODY) + SPINE + JUMPER_SHIFT + 8 for text in self.bond]
        return max(TEXT_X + max(texts, default=0.0) + 7, max(beside, default=0.0) + 7, 120.0)

    @property
    def words_height(self) -> float:
        """Height of name and lines. [pt]"""
        return len(self.name) * (NAME + 2.5) + len(self.lines) * LINE_HEIGHT

    @property
    def bar_gap(self) -> float:
        """From the neutral bar to the ground bar. [pt]"""
        return max(BAR_GAP, len(self.bond) * LINE_HEIGHT + 9)

    @property
    def height(self) -> float:
        """Room down. [pt]"""
        return TOP + self.words_height + TO_NEUTRAL + self.bar_gap + BELOW

    @property
    def drop_width(self) -> float:
        """Room across of the words beside its supply. [pt]"""
        return max((text_width(text, BODY, bold=not i) for i, text in enumerate(self.drop)), default=0.0)

    @property
    def drop_height(self) -> float:
        """Room down of the words beside its supply. [pt]"""
        return max(20.0, len(self.drop) * LINE_HEIGHT + 6) if self.drop else 0.0

    def neutral_level(self, placed: Placed) -> float:
        """Where its neutral bar runs."""
        return placed.y + placed.block.height - BELOW - self.bar_gap

    def ground_level(self, placed: Placed) -> float:
        """Where its ground bar runs."""
        return placed.y + placed.block.height - BELOW


@dataclass(frozen=True, slots=True)
class Rung:
    """One electrode or bonded thing. ``joined`` is False where no conductor reaches it."""

    id: str
    title: str
    in_earth: bool
    lines: tuple[str, ...]
    joined: bool = True

    @property
    def height(self) -> float:
        """Room down. [pt]"""
        return max(14.0, len(self.lines) * LINE_HEIGHT) + RUNG_ROOM


@dataclass(frozen=True, slots=True)
class Ladder:
    """Everything that is joined to the ground bar of one enclosure by a conductor of its own."""

    rungs: tuple[Rung, ...]

    @property
    def width(self) -> float:
        """Room across. [pt]"""
        texts = [
            text_width(text, BODY, bold=not number) for rung in self.rungs for number, text in enumerate(rung.lines)
        ]
        return SPINE + RUNG_TEXT + max(texts, default=0.0)

    @property
    def height(self) -> float:
        """Room down. [pt]"""
        return sum(rung.height for rung in self.rungs) + 6


def utility_width(title: str, lines: tuple[str, ...]) -> float:
    """Room across for the utility's transformer and its words. [pt]"""
    return TEXT_X + max(text_width(title, NAME, bold=True), *(text_width(text, BODY) for text in lines), 0.0) + 7


def draw_utility(title: str, lines: tuple[str, ...], placed: Placed) -> Group:
    """The utility's transformer with its neutral joined to the earth."""
    spine = placed.spine
    symbol = symbols.transformer(spine, placed.y)
    level = placed.y + symbol.height
    items: list[Item] = [*symbol.items, line((spine, level), (spine, placed.y + placed.block.height))]
    items += [symbols.dot(spine, level + 4), line((spine, level + 4), (spine + 10, level + 4), weight=MEDIUM)]
    items += symbols.earth(spine + 10, level + 4)
    items.append(Text(placed.x + TEXT_X, placed.y + 9, title, NAME, True))
    for number, text in enumerate(lines, 1):
        items.append(Text(placed.x + TEXT_X, placed.y + 9 + number * LINE_HEIGHT, text))
    return Group("equipment/utility", title, tuple(items))


def draw_cell(cell: GroundCell, placed: Placed, *, grounds: bool) -> Group:
    """The enclosure with its bars; ``grounds`` says whether an equipment ground leaves it."""
    x, spine = placed.x, placed.spine
    weight, dash = BORDER[cell.border]
    neutral, ground = cell.neutral_level(placed), cell.ground_level(placed)
    last_neutral = max(spine + JUMPER_SHIFT + 6, placed.bus_end + 6)
    items: list[Item] = [
        Rect(x, placed.y, placed.right - x, placed.block.height, weight, dash, radius=2),
        symbols.bus(x + 5, last_neutral, ground),
        line((x, ground), (x + 5, ground), weight=MEDIUM),
        symbols.dot(x, ground, 1.8),
        Text(spine + 8, ground - 3.2, "G", BODY, True),
    ]
    if cell.has_neutral:
        items += [line((spine, placed.y), (spine, neutral)), symbols.bus(spine - 4, last_neutral, neutral)]
        items.append(Text(spine + 2, neutral - 3.2, "N", BODY, True))
    if cell.has_ground_path:
        left = spine - GROUND_SHIFT
        items.append(line((left, placed.y), (left, ground), weight=MEDIUM, dash=LONG_DASHED))
    items += _jumper(cell, spine + JUMPER_SHIFT, neutral, ground)
    level = placed.y + TOP
    for text in cell.name:
        level += NAME + 2.5
        items.append(Text(x + TEXT_X, level - 3.2, text, NAME, True))
    for text in cell.lines:
        level += LINE_HEIGHT
        items.append(Text(x + TEXT_X, level - 2.2, text))
    items += _rows(placed, neutral, ground, grounds=grounds)
    return Group(f"equipment/{cell.id}", cell.title, tuple(items))


def _jumper(cell: GroundCell, x: float, neutral: float, ground: float) -> list[Item]:
    items: list[Item] = []
    if cell.bonded:
        items += [line((x, neutral), (x, ground), weight=HEAVY * 1.4), symbols.dot(x, neutral, 2.6)]
        items.append(symbols.dot(x, ground, 2.6))
    elif cell.bonded is None and cell.has_neutral:
        items.append(line((x, neutral), (x, ground), dash="1 1.6"))
    level = (neutral + ground) / 2 - len(cell.bond) * LINE_HEIGHT / 2
    for text in cell.bond:
        level += LINE_HEIGHT
        items.append(Text(x + 6, level - 2.2, text))
    return items


def _rows(placed: Placed, neutral: float, ground: float, *, grounds: bool) -> list[Item]:
    """Neutral and ground on their way to further rows of branches, at the left of everything between."""
    items: list[Item] = []
    for row in placed.rows:
        out, below = placed.spine - 3, ground + 6
        items += passing(out, neutral, below, hop=ground)
        items.append(line((out, below), (row.riser + 0.5, below), (row.riser + 0.5, row.y), (row.last, row.y)))
        if grounds:
            left, level = row.riser + 4, row.y - ROW_GROUND
            path = ((left, ground), (left, level), (row.last - GROUND_SHIFT, level))
            items.append(line(*path, weight=MEDIUM, dash=LONG_DASHED))
    return items


def passing(x: float, top: float, bottom: float, *, hop: float | None) -> list[Item]:
    """A line downwards that passes over a bar at ``hop`` without being joined to it."""
    if hop is None:
        return [line((x, top), (x, bottom))]
    return [line((x, top), (x, hop - 4)), Arc(x, hop, 4, -90, 90), line((x, hop + 4), (x, bottom))]


@dataclass(frozen=True, slots=True)
class Leaving:
    """Where a run's neutral and equipment ground leave, and the height of a bar that the neutral passes over. [pt]"""

    neutral: float
    ground: float
    hop: float | None


def draw_lines(cell: GroundCell | None, placed: Placed, leaving: Leaving) -> list[Item]:
    """The neutral and, where the run brings one, the equipment ground, down to the top of the next enclosure.

    Without an enclosure it is the one conductor that leads to electrodes.
    """
    spine = placed.spine
    if cell is None:
        down = line((spine, leaving.ground), (spine, placed.y), weight=MEDIUM)
        return [symbols.dot(spine, leaving.ground, 1.8), down]
    items = passing(spine, leaving.neutral, placed.y, hop=leaving.hop) if cell.has_neutral else []
    if cell.has_ground_path:
        left = spine - GROUND_SHIFT
        items.append(line((left, leaving.ground), (left, placed.y), weight=MEDIUM, dash=LONG_DASHED))
    return items


def draw_drop(cell: GroundCell, placed: Placed, leaving: Leaving) -> Group | None:
    """The run that supplies an enclosure, with its words; None where it has no supply."""
    if cell.run is None:
        return None
    items = draw_lines(cell, placed, leaving)
    level = placed.words_y + 3
    for number, text in enumerate(cell.drop):
        level += LINE_HEIGHT
        items.append(Text(placed.spine + BESIDE, level - 2.2, text, BODY, number == 0))
    return Group(f"run/{cell.run.id}", cell.run.title, tuple(items))


def draw_ladder(ladder: Ladder, placed: Placed, *, start: float) -> list[Item]:
    """The conductors from a ground bar to electrodes and bonded things, one below the other."""
    spine, level = placed.spine, placed.y + 4
    items: list[Item] = []
    joined_to = start
    for rung in ladder.rungs:
        middle = level + 5
        items.append(_rung(rung, spine, level, middle))
        if rung.joined:
            items += [line((spine, joined_to), (spine, middle), weight=MEDIUM), symbols.dot(spine, middle)]
            joined_to = middle
        level += rung.height
    return [symbols.dot(spine, start, 1.8), *items]


def _rung(rung: Rung, spine: float, level: float, middle: float) -> Group:
    end = spine + 14
    items: list[Item] = []
    if rung.joined:
        items.append(line((spine, middle), (end, middle), weight=MEDIUM))
    if rung.in_earth:
        items += symbols.earth(end + 5, middle)
        items.append(line((end, middle), (end + 5, middle), weight=MEDIUM if rung.joined else THIN))
    else:
        items.append(Circle(end + 4, middle, 4, MEDIUM))
    for number, text in enumerate(rung.lines):
        items.append(Text(spine + RUNG_TEXT, level + (number + 1) * LINE_HEIGHT - 1.6, text, BODY, number == 0))
    return Group(rung.id, rung.title, tuple(items))


def wrapped(texts: list[str], width: float = TEXT_WIDTH) -> tuple[str, ...]:
    """All texts broken to a width, empty ones left out. [pt]"""
    return tuple(part for text in texts if text for part in wrap(text, width))
