"""The two columns of the site drawing: each place a box in a row of its own, its supply on the side of the middle.

A place fed from a place of the same column stands below it and further in; the line between them keeps to the outer
edge, so that no line crosses words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from driploop.drawings import site_places, symbols
from driploop.drawings.display import (
    BODY,
    DASHED,
    LANDSCAPE,
    LINE_HEIGHT,
    MEDIUM,
    NAME,
    Circle,
    Group,
    Item,
    Rect,
    Text,
    wrap,
)
from driploop.drawings.site_places import Place
from driploop.drawings.symbols import line
from driploop.installation.model import Run
from driploop.rules.readings import Readings

BOX, BESIDE, STEP = 128.0, 152.0, 18.0
#: Where the lines from the middle arrive, at the left and at the right. [pt]
LEFT_LANE, RIGHT_LANE = BOX + BESIDE, LANDSCAPE.width - BOX - BESIDE
MOST_NAMES = 5
ROW_GAP = 12.0
NAME_HEIGHT = NAME + 2.0


@dataclass(frozen=True, slots=True)
class Node:
    """A place with the runs that supply it from the place above, and what it supplies in turn."""

    place: Place
    runs: tuple[Run, ...]
    children: tuple[Node, ...] = ()

    @property
    def depth(self) -> int:
        """How many places follow one another below this one."""
        return max((1 + child.depth for child in self.children), default=0)

    def all(self) -> Iterator[Node]:
        """This place and all below it."""
        yield self
        for child in self.children:
            yield from child.all()


@dataclass(frozen=True, slots=True)
class Branch:
    """A place of one column with all below it: marks from its own top, where its supplies arrive, its height. [pt]"""

    items: tuple[Item, ...]
    arrivals: tuple[tuple[Run, float], ...]
    height: float


def branch(readings: Readings, node: Node, *, left: bool, onward: bool = False) -> Branch:
    """A place and all below it as a part of the left or the right column.

    Args:
        readings: the installation with its readings.
        node: the place.
        left: which column.
        onward: say that what it feeds is drawn on a sheet of its own.
    """
    step = min(STEP, (BOX - 60) / max(node.depth, 1))
    pen = _Column(readings, left=left, step=step)
    arrivals = pen.first(node, onward=onward)
    return Branch(tuple(pen.items), tuple(arrivals), pen.y)


def box_lines(readings: Readings, place: Place, room: float) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What stands in the box of a place: its name, then its use and what hangs there. [pt]"""
    use = place.use if place.use != place.title.lower() else ""
    equipment = [readings.graph.equipment(id) for id in place.equipment]
    facts = [use, *(f"{e.title}, new" if e.is_new and "new" not in e.title.lower() else e.title for e in equipment)]
    if not equipment:
        sources = dict.fromkeys(
            readings.graph.equipment(c.from_).title
            for c in readings.installation.circuits.values()
            if c.from_ is not None and c.building == place.id
        )
        facts.append(f"circuits of {', '.join(sources)}" if sources else "no enclosure listed")
    more = len(facts) - 1 - MOST_NAMES
    if more > 0:
        facts = [*facts[: MOST_NAMES + 1], f"and {more} more"]
    lines = tuple(part for fact in facts if fact for part in wrap(fact, room))
    return wrap(place.title, room - (12 if place.pole else 0), size=NAME, bold=True), lines


def box_height(box: tuple[Sequence[str], Sequence[str]]) -> float:
    """How tall the box with these words is. [pt]"""
    return 6 + NAME_HEIGHT * len(box[0]) + LINE_HEIGHT * len(box[1])


def draw_box(
    place: Place, box: tuple[Sequence[str], Sequence[str]], x: float, y: float, width: float, tall: float
) -> Group:
    """A place as a box; a pole has a circle in its corner."""
    names, lines = box
    items: list[Item] = [Rect(x, y, width, tall, MEDIUM, DASHED if place.id == site_places.NOWHERE else "", radius=2)]
    if place.pole:
        items.append(Circle(x + width - 9, y + 9, 4, MEDIUM))
    level = y + 3 + NAME
    for text in names:
        items.append(Text(x + 5, level - 1, text, NAME, True))
        level += NAME_HEIGHT
    for text in lines:
        items.append(Text(x + 5, level - 2, text))
        level += LINE_HEIGHT
    return Group(f"outline/{place.id}", place.title, tuple(items))


def electrodes(readings: Readings, place: Place, x: float, y: float, width: float) -> tuple[list[Item], float]:
    """The electrodes of a place from ``y`` down, and where they end. [pt]"""
    items: list[Item] = []
    for id in place.electrodes:
        electrode = readings.installation.electrodes[id]
        texts = site_places.electrode_lines(readings, electrode)
        told = [(part, n == 0) for n, text in enumerate(texts) for part in wrap(text, width - 18, bold=n == 0)]
        marks: list[Item] = [*symbols.earth(x + 7, y + 3)]
        marks += [Text(x + 18, y + 9 + n * LINE_HEIGHT, text, BODY, bold) for n, (text, bold) in enumerate(told)]
        items.append(Group(f"electrode/{id}", electrode.title, tuple(marks)))
        y += len(told) * LINE_HEIGHT + 5
    return items, y


def run_words(readings: Readings, run: Run, room: float) -> tuple[list[str], list[str]]:
    """The words over and under the line of a run; the first of those over it is its name. [pt]"""
    over = [*wrap(run.title, room, bold=True)[:2], *wrap(site_places.way(readings, run), room)]
    facts = (site_places.wires(readings, run), *site_places.course_words(readings, run))
    return over, [part for fact in facts for part in wrap(fact, room)]


def stroke(readings: Readings, run: Run, *points: tuple[float, float]) -> Item:
    """The line of a run, its dashes telling its course."""
    dash = site_places.DASHES[site_places.course(readings, run)]
    return line(*points, weight=site_places.weight(run), dash=dash)


class _Column:
    """Writes one branch from the top down, at its place across the sheet."""

    def __init__(self, readings: Readings, *, left: bool, step: float) -> None:
        self.readings, self.left, self.step = readings, left, step
        self.items: list[Item] = []
        self.y = 0.0

    def first(self, node: Node, *, onward: bool) -> list[tuple[Run, float]]:
        """The place that the middle supplies, by lines that arrive from there."""
        x0, x1 = (BOX, LEFT_LANE) if self.left else (RIGHT_LANE, LANDSCAPE.width - BOX)
        arrivals: list[tuple[Run, float]] = []
        level = self.y
        for run in node.runs:
            over, under = run_words(self.readings, run, BESIDE - 16)
            level += len(over) * LINE_HEIGHT + 3
            arrivals.append((run, level))
            words = [Text(x0 + 8, level - 3.5 - (len(over) - 1 - n) * LINE_HEIGHT, text, BODY, n == 0)
                     for n, text in enumerate(over)]  # fmt: skip
            words += [Text(x0 + 8, level + 8 + n * LINE_HEIGHT, text) for n, text in enumerate(under)]
            drawn = stroke(self.readings, run, (x0, level), (x1, level))
            self.items.append(Group(f"run/{run.id}", run.title, (drawn, *words)))
            level += len(under) * LINE_HEIGHT + 6
        box = box_lines(self.readings, node.place, BOX - 10)
        tall = box_height(box)
        arrives = (arrivals[0][1], arrivals[-1][1]) if arrivals else (self.y, self.y)
        top = max(self.y, (arrives[0] + arrives[1] - tall) / 2)
        tall = max(tall, arrives[1] + 6 - top)
        if onward:
            over_there = "what it feeds: on a further sheet"
            self.items.append(Text(0 if self.left else LANDSCAPE.width - BOX, top + tall + 9, over_there, BODY, True))
        self._place(node, box, top, tall, depth=0, floor=max(level, top + tall), told=12.0 if onward else 0.0)
        return arrivals

    def _place(
        self, node: Node, box: tuple[tuple[str, ...], tuple[str, ...]], top: float, tall: float, *, depth: int,
        floor: float, told: float = 0.0,
    ) -> None:  # fmt: skip
        """A box, the electrodes below it, then all it feeds."""
        x, width = self._across(depth)
        self.items.append(draw_box(node.place, box, x, top, width, tall))
        inner = x + (self.step if self.left else 0.0)
        marks, bottom = electrodes(self.readings, node.place, inner, top + tall + told + 2, width - self.step)
        self.items += marks
        self.y = max(bottom, floor) + ROW_GAP
        spine = x + self.step * 0.45 if self.left else x + width - self.step * 0.45
        last = top + tall
        for child in node.children:
            last = self._below(child, spine, depth + 1)
        if node.children:
            courses = {site_places.course(self.readings, run) for child in node.children for run in child.runs}
            dash = site_places.DASHES[courses.pop()] if len(courses) == 1 else ""
            self.items.insert(0, line((spine, top + tall), (spine, last), weight=MEDIUM, dash=dash))

    def _below(self, node: Node, spine: float, depth: int) -> float:
        """A place that another one of this column supplies. Returns where its last line leaves the spine. [pt]"""
        x, width = self._across(depth)
        edge = x if self.left else x + width
        words_x = BOX + 8 if self.left else RIGHT_LANE + 4
        told: list[tuple[str, bool]] = []
        box = box_lines(self.readings, node.place, width - 10)
        drawn, level, last = [], self.y + 8, self.y + 8
        for run in node.runs:
            over, under = run_words(self.readings, run, BESIDE - 16)
            told = [(text, n == 0) for n, text in enumerate([*over, *under])]
            words = [Text(words_x, level + n * LINE_HEIGHT, text, BODY, bold) for n, (text, bold) in enumerate(told)]
            drawn.append(
                Group(f"run/{run.id}", run.title, (stroke(self.readings, run, (spine, level), (edge, level)), *words))
            )
            last = level
            level += len(told) * LINE_HEIGHT + 6
        tall = max(box_height(box), last + 6 - self.y)
        self.items += drawn
        self._place(node, box, self.y, tall, depth=depth, floor=max(level, self.y + tall))
        return last

    def _across(self, depth: int) -> tuple[float, float]:
        """Left edge and width of a box so many places further in. [pt]"""
        shift = depth * self.step
        return (shift, BOX - shift) if self.left else (LANDSCAPE.width - BOX, BOX - shift)
