"""The site drawing: every building and pole as a box, the runs between, the electrodes; not to scale."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from driploop.drawings import site_places, symbols, words
from driploop.drawings.display import (
    BODY,
    HEAVY,
    LANDSCAPE,
    LINE_HEIGHT,
    MEDIUM,
    NAME,
    Circle,
    Drawing,
    Group,
    Item,
    Rect,
    Text,
    wrap,
)
from driploop.drawings.legend import Entry
from driploop.drawings.sheets import finished, moved, room_taken
from driploop.drawings.site_places import Place
from driploop.drawings.site_rows import (
    LEFT_LANE,
    RIGHT_LANE,
    Branch,
    Node,
    box_height,
    box_lines,
    branch,
    draw_box,
    electrodes,
    run_words,
    stroke,
)
from driploop.drawings.symbols import line
from driploop.installation import UTILITY
from driploop.installation.model import Run
from driploop.rules.readings import Readings

MIDDLE = LANDSCAPE.width / 2
HUB = RIGHT_LANE - LEFT_LANE - 48.0

SITE_KEY: tuple[Entry, ...] = (
    (lambda x, y: (line((x, y), (x + 20, y), dash=site_places.DASHES["overhead"]),), "overhead"),
    (lambda x, y: (line((x, y), (x + 20, y), dash=site_places.DASHES["buried"]),), "buried"),
    (lambda x, y: (line((x, y), (x + 20, y), dash=site_places.DOTTED),), "overhead or buried: not known"),
    (lambda x, y: (line((x, y), (x + 20, y), weight=HEAVY),), "new"),
    (lambda x, y: (Rect(x, y - 6, 18, 12, MEDIUM),), "building"),
    (lambda x, y: (Rect(x, y - 6, 18, 12, MEDIUM), Circle(x + 12, y, 3.5, MEDIUM)), "pole"),
    (lambda x, y: symbols.earth(x + 10, y - 5), "grounding electrode"),
)


@dataclass(slots=True)
class _Sheet:
    """One sheet in the making: the middle, and how far down each column is."""

    hub: Node | None
    left: list[tuple[float, Branch]] = field(default_factory=list)
    right: list[tuple[float, Branch]] = field(default_factory=list)

    def bottom(self, *, left: bool) -> float:
        """Where the next branch of a column starts. [pt]"""
        column = self.left if left else self.right
        return column[-1][0] + column[-1][1].height if column else 0.0


def sites(readings: Readings, *, title: str = "Site") -> tuple[Drawing, ...]:
    """The site drawing, each sheet made for a letter page laid on its side.

    Args:
        readings: the installation, as found or as proposed, with its readings.
        title: what stands on top of every sheet.

    Returns:
        The sheets in order, each with its key; none where the survey lists no building and no enclosure.
    """
    known = site_places.places(readings)
    if not known:
        return ()
    hub, adrift, also = _tree(readings, known)
    notes = (site_places.SCHEMATIC, *also, *site_places.not_drawn(readings))
    room = LANDSCAPE.height - room_taken(SITE_KEY, notes, LANDSCAPE.width)
    drawn = [_drawn(readings, sheet) for sheet in _sheets(readings, hub, adrift, room)]
    return tuple(
        finished(
            items, height, page=LANDSCAPE, id=f"site-{readings.installation.state}-{number}", title=title,
            description=f"Plan of the site, not to scale: {', '.join(place.title for place in known.values())}.",
            number=number, count=len(drawn), entries=SITE_KEY, notes=notes,
        )
        for number, (items, height) in enumerate(drawn, 1)
    )  # fmt: skip


def _tree(readings: Readings, known: dict[str, Place]) -> tuple[Node, list[Node], list[str]]:
    """The middle with all it feeds, places without a known supply, and notes for runs that the tree has no line for."""
    between = list(site_places.runs_between(readings))
    roots = list(dict.fromkeys(end for _, start, end in between if start == UTILITY))
    fed: set[str] = set(roots)
    drawn: set[str] = set()

    def node(id: str, above: str) -> Node:
        runs = tuple(run for run, start, end in between if (start, end) == (above, id))
        drawn.update(run.id for run in runs)
        ends = [e for _, s, e in between if s == id]
        below = [end for end in dict.fromkeys(ends) if end not in fed]
        fed.update(below)
        return Node(known[id], runs, tuple(node(end, id) for end in below))

    tops = tuple(node(id, UTILITY) for id in roots)
    adrift = []
    for id in known:
        if id not in fed and not any(end == id and start in known and start not in fed for _, start, end in between):
            fed.add(id)
            adrift.append(node(id, ""))
    adrift += [
        Node(known[id], ()) for id in known if id not in {n.place.id for top in (*tops, *adrift) for n in top.all()}
    ]
    also = [run.title for run, _, _ in between if run.id not in drawn]
    notes = [f"Also, without a line of its own here: {', '.join(also)}."] if also else []
    if len(tops) == 1:
        return tops[0], adrift, notes
    return Node(Place(UTILITY, "Utility supply", "", (), ()), (), tops), adrift, notes


def _sheets(readings: Readings, hub: Node, adrift: Iterable[Node], room: float) -> list[_Sheet]:
    """Branches fill both columns, sheet after sheet; one that is too tall goes on in the middle of a further sheet."""
    sheets = [_Sheet(hub)]
    lowered = room - _middle_top(readings, hub)
    later: list[Node] = []
    for child in hub.children:
        onward = branch(readings, child, left=True).height > lowered and bool(child.children)
        if onward:
            later.append(child)
        shown = replace(child, children=()) if onward else child
        if not _put(readings, sheets[-1], shown, lowered, onward=onward):
            sheets.append(_Sheet(hub))
            _put(readings, sheets[-1], shown, lowered, onward=onward)
    for child in later:
        sheets += _sheets(readings, replace(child, runs=()), (), room)
    for child in adrift:
        if not _put(readings, sheets[-1], child, lowered, onward=False):
            sheets.append(_Sheet(None))
            _put(readings, sheets[-1], child, lowered, onward=False)
    return sheets


def _put(readings: Readings, sheet: _Sheet, node: Node, room: float, *, onward: bool) -> bool:
    """Put a branch into the shorter column; False, with nothing done, where a filled sheet has no room."""
    left = sheet.bottom(left=True) < sheet.bottom(left=False)
    made = branch(readings, node, left=left, onward=onward)
    top = sheet.bottom(left=left)
    if top + made.height > room and (sheet.left or sheet.right):
        return False
    (sheet.left if left else sheet.right).append((top, made))
    return True


def _middle_top(readings: Readings, hub: Node) -> float:
    """Where the middle's box starts: below the utility and the words of its supply. [pt]"""
    if hub.place.id == UTILITY or not hub.runs:
        return 2.0
    lines = sum(sum(map(len, run_words(readings, run, 250))) for run in hub.runs)
    return 36.0 + lines * LINE_HEIGHT + 10


def _drawn(readings: Readings, sheet: _Sheet) -> tuple[tuple[Item, ...], float]:
    """All marks of one sheet, and how tall they are. [pt]"""
    items: list[Item] = []
    top, sides, bottom = 2.0, (0.0, 0.0), 0.0
    if sheet.hub is not None:
        top = _middle_top(readings, sheet.hub)
        middle, sides, bottom = _middle(readings, sheet.hub, top)
        items += middle
    for column, lane, edge in ((sheet.left, LEFT_LANE, MIDDLE - HUB / 2), (sheet.right, RIGHT_LANE, MIDDLE + HUB / 2)):
        arrivals = [(run, start + level) for start, made in column for run, level in made.arrivals]
        for start, made in column:
            items += moved(made.items, 0, top + start)
            bottom = max(bottom, top + start + made.height)
        items += _fan(readings, arrivals, lane=lane, edge=edge, top=top, sides=sides)
    return tuple(items), bottom


def _fan(
    readings: Readings, arrivals: Sequence[tuple[Run, float]], *, lane: float, edge: float, top: float,
    sides: tuple[float, float],
) -> list[Item]:  # fmt: skip
    """Straight lines from the middle's side to where each run's words start, in order, so that none crosses another."""
    high, low = sides
    spread = (low - high) / (len(arrivals) + 1)
    return [
        stroke(readings, run, (edge, high + spread * (n + 1)), (lane, top + level))
        for n, (run, level) in enumerate(arrivals)
    ]


def _middle(readings: Readings, hub: Node, top: float) -> tuple[list[Item], tuple[float, float], float]:
    """The place in the middle with its supply above it: marks, where its sides start and end, its bottom. [pt]"""
    if hub.place.id == UTILITY:
        return _utility_in_the_middle(readings, top)
    box = box_lines(readings, hub.place, HUB - 10)
    tall = max(box_height(box), 30.0)
    items: list[Item] = [draw_box(hub.place, box, MIDDLE - HUB / 2, top, HUB, tall)]
    if hub.runs:
        items += _supply(readings, hub.runs, top)
    marks, bottom = electrodes(readings, hub.place, MIDDLE - HUB / 2, top + tall + 3, HUB)
    return [*items, *marks], (top, top + tall), bottom


def _utility_words(readings: Readings) -> list[str]:
    utility = readings.installation.utility
    return [utility.name or "Utility supply", ", ".join(words.supply_words(utility))]


def _supply(readings: Readings, runs: Sequence[Run], top: float) -> list[Item]:
    """The utility above the middle, with its runs down to it."""
    names = [wrap(text, MIDDLE - 30)[0] for text in _utility_words(readings)]
    told = [Text(MIDDLE + 16, 12 + n * LINE_HEIGHT, text, BODY if n else NAME, n == 0) for n, text in enumerate(names)]
    items: list[Item] = [
        Group("equipment/utility", names[0], (*symbols.transformer(MIDDLE, 1).items, *told)),
    ]
    level = 36.0
    for number, run in enumerate(runs):
        x = MIDDLE - 5.0 * number
        over, under = run_words(readings, run, 250)
        lines = [*over, *under]
        texts = [Text(MIDDLE + 16, level + 6 + n * LINE_HEIGHT, text, BODY, n == 0) for n, text in enumerate(lines)]
        start = (x, 28.0) if not number else (x, 24.0)
        items.append(Group(f"run/{run.id}", run.title, (stroke(readings, run, start, (x, top)), *texts)))
        level += len(lines) * LINE_HEIGHT
    return items


def _utility_in_the_middle(readings: Readings, top: float) -> tuple[list[Item], tuple[float, float], float]:
    """Where several places have a supply of their own, the utility itself stands in the middle."""
    told = [(part, n == 0) for n, text in enumerate(_utility_words(readings)) for part in wrap(text, HUB - 34)]
    tall = max(38.0, len(told) * LINE_HEIGHT + 10)
    texts = [Text(MIDDLE - HUB / 2 + 26, top + 12 + n * LINE_HEIGHT, text, BODY, bold)
             for n, (text, bold) in enumerate(told)]  # fmt: skip
    box = Rect(MIDDLE - HUB / 2, top, HUB, tall, MEDIUM, radius=2)
    symbol = symbols.transformer(MIDDLE - HUB / 2 + 14, top + 5).items
    return [Group("equipment/utility", "Utility supply", (box, *symbol, *texts))], (top, top + tall), top + tall
