"""One place of the riser drawing: its enclosures from the top down in rows, the earth below.

Each enclosure and each run that leaves has a row of its own, and every line that passes a row keeps left of that row's
words, so that nothing can collide whatever the tree.
"""

from __future__ import annotations

from collections.abc import Sequence

from driploop.drawings import site_places, symbols, words
from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    LINE_HEIGHT,
    MEDIUM,
    NAME,
    PORTRAIT,
    THIN,
    Arc,
    Group,
    Item,
    Rect,
    Text,
    wrap,
)
from driploop.drawings.riser_earth import draw_earth
from driploop.drawings.riser_pen import (
    BOX,
    DIMENSION,
    GAP,
    HEAD,
    HEIGHTS,
    INDENT,
    LANE,
    NAME_HEIGHT,
    POLE,
    ROOF,
    SPINE,
    WALL,
    Pen,
    RiserBlock,
    Upright,
    arrow,
)
from driploop.drawings.site_places import Place
from driploop.drawings.symbols import line
from driploop.installation.model import Equipment, Run
from driploop.rules.readings import Readings


def riser_block(readings: Readings, place: Place) -> RiserBlock:
    """One place with all that hangs there, from the roof to the earth.

    Args:
        readings: the installation with its readings.
        place: a building, a pole or the place nobody has noted.
    """
    arrivals = [run for run, _, end in site_places.runs_between(readings) if end == place.id]
    buried = [run for run in arrivals if site_places.course(readings, run) == "buried"]
    outside_landing, inside_landing = _landings(readings, place)
    first_lane = HEIGHTS + LANE * (2 if place.pole else 1)
    left = first_lane + LANE * (len(buried) + len(outside_landing))
    right = PORTRAIT.width - LANE * (len(inside_landing) + 0.5)
    pen = Pen(readings, place, left, (PORTRAIT.width if place.pole else WALL) - 8.0, right)
    pen.strip(*_head(readings, place, arrivals))
    wall_top = HEAD + 2.0
    lanes = {run.id: first_lane + LANE * n for n, run in enumerate(buried)}
    roots = [id for id in place.equipment if not _fed_here(readings, place, id)]
    starts: dict[str, float] = {}
    for id in roots:
        run = readings.graph.feeding_run(id)
        if run is not None and run.id in lanes:
            starts[run.id] = _from_earth(pen, id, run, lanes[run.id])
        else:
            _from_above(pen, id, run)
    outer = {id: left - LANE * (n + 1) for n, id in enumerate(outside_landing)}
    inner = {id: PORTRAIT.width - LANE * (n + 0.5) for n, id in enumerate(inside_landing)}
    grade = pen.y + 4.0
    draw_earth(pen, buried, lanes, starts, {**outer, **inner})
    pen.uprights += _standing(place, wall_top, grade)
    return RiserBlock(place, tuple(pen.strips), tuple(pen.uprights))


def _standing(place: Place, top: float, grade: float) -> list[Upright]:
    """The wall or the pole that everything hangs on."""
    if place.pole:
        return [Upright(POLE, top, grade, THIN), Upright(POLE + 6, top, grade, THIN)]
    return [Upright(WALL, top + 22, grade, THIN), Upright(WALL + 4, top + 20, grade, THIN)]


def _fed_here(readings: Readings, place: Place, id: str) -> bool:
    return readings.graph.source_of(id) in place.equipment


def _landings(readings: Readings, place: Place) -> tuple[list[str], list[str]]:
    """Enclosures of this place at which a conductor from an electrode lands: outside, inside."""
    lands = [readings.installation.electrodes[id].conductor_to for id in place.electrodes
             if readings.installation.electrodes[id].connected is not False]  # fmt: skip
    outside: list[str] = []
    inside: list[str] = []
    for id in dict.fromkeys(lands):
        if id in place.equipment:
            (outside if _hangs_outside(readings, place, id) else inside).append(id or "")
    return outside, inside


def _hangs_outside(readings: Readings, place: Place, id: str) -> bool:
    """Whether an enclosure and all that feeds it here hang outside."""
    chain = [id, *(up for up in readings.graph.path_up(id) if up in place.equipment)]
    return place.pole or all(readings.graph.equipment(each).outdoors is True for each in chain)


def _head(readings: Readings, place: Place, arrivals: Sequence[Run]) -> tuple[float, list[Item]]:
    """Name and use of the place, and its roof."""
    use = f", {place.use}" if place.use and place.use != place.title.lower() else ""
    rule = line((0, HEAD - 4), (PORTRAIT.width, HEAD - 4))
    title = wrap(f"{place.title}{use}", PORTRAIT.width, size=NAME, bold=True)[0]
    items: list[Item] = [Group(f"outline/{place.id}", place.title, (Text(0, 10, title, NAME, True), rule))]
    if place.pole:
        return HEAD + 6, items
    slopes = [run.roof_slope_in_12 for run in arrivals if run.roof_slope_in_12 is not None]
    overhead = any(site_places.course(readings, run) == "overhead" for run in arrivals)
    known = f"roof slope {slopes[0]:g} in 12" if slopes else "roof slope not known" if overhead else "roof not surveyed"
    eave, ridge = (WALL - 14, HEAD + 24), (PORTRAIT.width, HEAD + 2)
    items.append(line(eave, ridge, weight=MEDIUM, dash="" if slopes else DASHED))
    items.append(Text(WALL + 90, HEAD + 31, known))
    return HEAD + ROOF, items


def _from_above(pen: Pen, id: str, run: Run | None) -> None:
    """A run that arrives through the air, or nobody knows how; then the enclosure it feeds."""
    spine = pen.left + SPINE
    if run is None:
        told = [*wrap("what supplies it is not known", pen.outside_right - spine - 8)]
        items: list[Item] = [Text(spine + 8, 9 + pen.y + n * LINE_HEIGHT, text) for n, text in enumerate(told)]
        start = pen.y + 2
        pen.strip(len(told) * LINE_HEIGHT + 6, items)
        _entered(pen, id, start=start, spine=spine)
        return
    hung = site_places.course(pen.readings, run)
    level = pen.y + 16.0
    mark: list[Item] = [line((0, level), (spine, level), weight=site_places.weight(run), dash=site_places.DASHES[hung])]
    heights = list(site_places.course_words(pen.readings, run))
    if hung == "overhead":
        heights = [f"attachment {site_places.feet(run.attachment_height_ft)}", *heights]
        mark += [*_service_head(spine, level, above=run.head_above_attachment)]
    facts = [site_places.way(pen.readings, run), site_places.wires(pen.readings, run)]
    facts += site_places.attachment_words(run) if hung == "overhead" else ()
    room = pen.outside_right - spine - 18
    told = [*wrap(run.title, room, bold=True)[:1], *(part for fact in facts for part in wrap(fact, room))]
    mark += [Text(spine + 18, level + n * LINE_HEIGHT, text, BODY, n == 0) for n, text in enumerate(told)]
    beside = [part for each in heights for part in wrap(each, HEIGHTS - 12)]
    mark += [Text(10, level + 11 + n * LINE_HEIGHT, text) for n, text in enumerate(beside)]
    items = [Group(f"run/{run.id}", run.title, tuple(mark))]
    if hung == "overhead" and run.attachment_height_ft is not None and not pen.measured:
        items.append(arrow(DIMENSION, level + 2, 6))
        pen.measured.append(level)
    pen.strip(max(len(told), len(beside) + 1) * LINE_HEIGHT + 18, items)
    _entered(pen, id, start=level, spine=spine)


def _entered(pen: Pen, id: str, *, start: float, spine: float) -> None:
    """The enclosure below what arrives from above; one that hangs inside is reached through the wall."""
    turn = _enclosure(pen, id, None, start=start, spine=spine, inside=False, straight=True)
    if not pen.outside(pen.readings.graph.equipment(id), above_inside=False):
        pen.uprights.append(Upright(spine, start, turn))


def _service_head(x: float, y: float, *, above: bool | None) -> tuple[Item, ...]:
    """Where conductors are attached, and the hood over the conduit: above it, below it, or not known (dashed)."""
    top = y + 6 if above is False else y - 8
    hood = (
        Arc(x + 4, top, 5, 180, 360, MEDIUM),
        line((x - 1, top), (x + 9, top), dash=DASHED if above is None else ""),
    )
    return symbols.dot(x, y, 1.8), *hood, line((x, min(top, y)), (x, max(top, y)), weight=THIN)


def _from_earth(pen: Pen, id: str, run: Run, lane: float) -> float:
    """The enclosure fed by a run that comes up from the earth. Returns where the run leaves its lane. [pt]"""
    return _enclosure(pen, id, run, start=pen.y, spine=lane, inside=False, straight=False, words_too=False)


def _enclosure(
    pen: Pen, id: str, run: Run | None, *, start: float, spine: float, inside: bool, straight: bool,
    words_too: bool = True, x: float | None = None,
) -> float:  # fmt: skip
    """One enclosure with its supply, then all it feeds at this place.

    Args:
        pen: the block that is written.
        id: of the equipment.
        run: its supply, if that starts at this place or comes from the earth.
        start: where the supply's line starts. [pt]
        spine: where that line runs down. [pt]
        inside: whether its supply is inside the wall.
        straight: whether the line enters at the top; else it turns into the side.
        words_too: whether the supply's words stand here.
        x: left edge; left out, that of its side of the wall.

    Returns:
        The height at which the line ends or turns. [pt]
    """
    equipment = pen.readings.graph.equipment(id)
    within = not pen.outside(equipment, above_inside=inside)
    crosses = within and not inside
    if x is None or crosses:
        x = WALL + 16 if within else pen.left
    straight = straight and not crosses
    right = pen.inside_right - 4 if within else pen.outside_right
    width = min(BOX, right - x)
    told = _run_words(pen, run, (pen.outside_right if crosses else right) - (spine + 8 if crosses else x + 18)) \
        if run is not None and words_too else []  # fmt: skip
    box = _box_words(pen.readings, equipment, width - 10)
    tall = 6 + NAME_HEIGHT * len(box[0]) + LINE_HEIGHT * len(box[1])
    above = len(told) * LINE_HEIGHT + 5
    top = pen.y + (above if not crosses else max(0.0, above - tall / 2) + 3)
    turn = top if straight else top + tall / 2
    weight = site_places.weight(run) if run is not None else MEDIUM
    supply: list[Item] = []
    if straight:
        pen.uprights.append(Upright(spine, start, top, weight))
    else:
        supply.append(line((spine, turn), (x, turn), weight=weight))
    words_x, first = (spine + 8, turn - 4) if crosses else (x + SPINE + 8 if straight else x + 2, top - 4)
    first -= (len(told) - 1) * LINE_HEIGHT
    supply += [Text(words_x, first + n * LINE_HEIGHT, text, BODY, n == 0) for n, text in enumerate(told)]
    items: list[Item] = []
    if run is not None and words_too:
        items.append(Group(f"run/{run.id}", run.title, tuple(supply)))
    else:
        items += supply
    items += [_drawn_box(equipment, id, x, top, width, tall, box), *_heights(pen, equipment, top, within=within)]
    pen.edges[id] = (x, x + width, top + tall / 2)
    bottom = max(top + tall, pen.y + _heights_room(equipment, within=within))
    pen.strip(bottom - pen.y + GAP, items)
    _below(pen, id, x, top + tall, within=within)
    return turn


def _below(pen: Pen, id: str, x: float, bottom: float, *, within: bool) -> None:
    """All that an enclosure feeds: what hangs here, then what leaves."""
    runs = [pen.readings.installation.runs[run] for run in pen.readings.graph.runs_out.get(id, ())]
    here = [run for run in runs if run.to in pen.place.equipment]
    leaving = [run for run in runs if run.to not in pen.place.equipment]
    spine, last = x + SPINE, bottom
    alone = len(runs) == 1
    depth = min(x + (0 if alone else INDENT), (pen.inside_right if within else pen.outside_right) - 100)
    for run in here:
        last = _enclosure(
            pen, run.to or "", run, start=bottom, spine=spine, inside=within, straight=alone, x=max(x, depth)
        )
    for run in leaving:
        last = _leaving(pen, run, spine, within=within)
    child = pen.readings.graph.equipment(here[0].to or "") if here else None
    entered = alone and child is not None and (within or pen.outside(child, above_inside=within))
    if runs and not entered:
        pen.uprights.append(Upright(spine, bottom, last))


def _leaving(pen: Pen, run: Run, spine: float, *, within: bool) -> float:
    """A run to another place: an arrow and where it goes. Returns the height at which it leaves the line. [pt]"""
    hung = site_places.course(pen.readings, run)
    level, x = pen.y + 10.0, spine + 16.0
    there = pen.readings.installation.equipment[run.to or ""]
    room = (pen.inside_right if within else pen.outside_right) - x - 12
    facts = [f"to {there.title}: {run.title}", site_places.way(pen.readings, run), site_places.wires(pen.readings, run),
             *site_places.course_words(pen.readings, run)]  # fmt: skip
    told = [part for n, fact in enumerate(facts) for part in wrap(fact, room, bold=n == 0)]
    bold = len(wrap(facts[0], room, bold=True))
    tip = {"overhead": level - 9, "buried": level + 9, "": level}[hung]
    items: list[Item] = [line((spine, level), (x, level), weight=site_places.weight(run))]
    if hung:
        back = 4.0 if hung == "overhead" else -4.0
        items += [line((x, level), (x, tip), dash=site_places.DASHES[hung]), arrow(x, tip, back)]
    items += [Text(x + 10, level + 2.4 + n * LINE_HEIGHT, text, BODY, n < bold) for n, text in enumerate(told)]
    pen.strip(max(len(told) * LINE_HEIGHT, 12) + 12, [Group(f"leaving/{run.id}", run.title, tuple(items))])
    return level


def _run_words(pen: Pen, run: Run, room: float) -> list[str]:
    facts = (site_places.way(pen.readings, run), site_places.wires(pen.readings, run))
    return [*wrap(run.title, room, bold=True)[:1], *(part for fact in facts for part in wrap(fact, room))]


BoxWords = tuple[tuple[str, ...], tuple[str, ...]]


def _box_words(readings: Readings, equipment: Equipment, room: float) -> BoxWords:
    facts = [words.rating_words(equipment), words.role_words(readings, equipment.id), words.place_words(equipment)]
    if equipment.outdoors is None:
        facts.append("indoors or outdoors: not known")
    lines = tuple(part for fact in facts if fact for part in wrap(fact, room))
    return wrap(equipment.title, room, size=NAME, bold=True), lines


def _drawn_box(
    equipment: Equipment, id: str, x: float, y: float, width: float, tall: float, box: BoxWords
) -> Group:  # fmt: skip
    names, lines = box
    standing = words.standing(equipment)
    stroke = HEAVY if standing == "new" else THIN
    dash = DASHED if standing == "removed" else ""
    items: list[Item] = [Rect(x, y, width, tall, stroke, dash, radius=2)]
    level = y + 3 + NAME
    for text in names:
        items.append(Text(x + 5, level - 1, text, NAME, True))
        level += NAME_HEIGHT
    for text in lines:
        items.append(Text(x + 5, level - 2, text))
        level += LINE_HEIGHT
    return Group(f"equipment/{id}", equipment.title, tuple(items))


def _height_facts(equipment: Equipment) -> list[str]:
    facts = []
    if equipment.kind == "meter":
        facts.append(f"meter height {site_places.inches(equipment.meter_height_in)}")
    if equipment.handle_height_in is not None:
        facts.append(f"handle {site_places.inches(equipment.handle_height_in)}")
    if equipment.from_gas_ft is not None:
        facts.append(f"{site_places.feet(equipment.from_gas_ft)} from gas equipment")
    return [part for fact in facts for part in wrap(fact, HEIGHTS - 12)]


def _heights_room(equipment: Equipment, *, within: bool) -> float:
    return 0.0 if within else len(_height_facts(equipment)) * LINE_HEIGHT + 8


def _heights(pen: Pen, equipment: Equipment, top: float, *, within: bool) -> list[Item]:
    """Heights above grade beside an enclosure that hangs outside."""
    if within:
        return []
    return [Text(10, max(pen.y, top) + 8 + n * LINE_HEIGHT, text) for n, text in enumerate(_height_facts(equipment))]
