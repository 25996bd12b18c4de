"""Grade and what lies below it in the riser drawing: runs that come up from the earth, electrodes."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.drawings import site_places, symbols
from driploop.drawings.display import BODY, DASHED, HEAVY, LINE_HEIGHT, PORTRAIT, THIN, Group, Item, Text, wrap
from driploop.drawings.riser_pen import DIMENSION, HEIGHTS, WALL, Pen, Strip, Upright, arrow
from driploop.drawings.symbols import line
from driploop.installation.model import Run


def draw_earth(
    pen: Pen, buried: Sequence[Run], lanes: dict[str, float], starts: dict[str, float], landing: dict[str, float]
) -> None:
    """Grade, what lies below it, and the lines that come up from there."""
    grade = pen.y + 4.0
    items: list[Item] = [line((0, grade), (PORTRAIT.width, grade), weight=HEAVY)]
    items += [line((x, grade + 1), (x - 5, grade + 6)) for x in range(8, int(PORTRAIT.width), 12)]
    for level in pen.measured:
        pen.uprights.append(Upright(DIMENSION, level + 4, grade - 4, THIN))
        items.append(arrow(DIMENSION, grade - 1.5, -6))
    pen.strip(12.0, [Group(f"grade/{pen.place.id}", "grade", tuple(items))])
    pen.strip(LINE_HEIGHT + 2, [Text(10, pen.y + 7, "grade")])
    for run in buried:
        level = pen.y + 10.0
        pen.uprights.append(Upright(lanes[run.id], starts.get(run.id, grade), level, site_places.weight(run)))
        _below_grade_run(pen, run, lanes[run.id], level)
    for id in pen.place.electrodes:
        _electrode(pen, id, landing)


def _below_grade_run(pen: Pen, run: Run, lane: float, level: float) -> None:
    facts = [run.title, site_places.way(pen.readings, run), site_places.wires(pen.readings, run)]
    room = pen.outside_right - pen.left - 6
    told = [*wrap(facts[0], room, bold=True)[:1], *(part for fact in facts[1:] for part in wrap(fact, room))]
    items: list[Item] = [line((0, level), (lane, level), weight=site_places.weight(run), dash=DASHED)]
    items += [Text(pen.left + 4, level + 2 + n * LINE_HEIGHT, text, BODY, n == 0) for n, text in enumerate(told)]
    depth = [part for fact in site_places.course_words(pen.readings, run) for part in wrap(fact, HEIGHTS - 12)]
    items += [Text(10, level + 11 + n * LINE_HEIGHT, text) for n, text in enumerate(depth)]
    tall = max(len(told), len(depth) + 1) * LINE_HEIGHT + 10
    pen.strip(tall, [Group(f"run/{run.id}", run.title, tuple(items))])


def _electrode(pen: Pen, id: str, landing: dict[str, float]) -> None:
    """An electrode with its conductor, on the side on which that lands."""
    electrode = pen.readings.installation.electrodes[id]
    lane = landing.get(electrode.conductor_to or "") if electrode.connected is not False else None
    inner = lane is not None and lane > WALL and not pen.place.pole
    level = pen.y + 8.0
    if inner:
        assert lane is not None
        symbol, words_x, room = pen.inside_right - 10, WALL + 16, pen.inside_right - 20 - (WALL + 16)
    else:
        symbol, words_x, room = pen.left + 8, pen.left + 20, pen.outside_right - pen.left - 24
    items: list[Item] = [*symbols.earth(symbol, level)]
    if lane is not None:
        edge_left, edge_right, middle = pen.edges[electrode.conductor_to or ""]
        edge = edge_right if inner else edge_left
        items.append(line((lane, level), (symbol, level)))
        pen.uprights.append(Upright(lane, middle, level, THIN))
        pen.strips = [_with_landing(strip, lane, edge, middle) for strip in pen.strips]
    told = [(part, n == 0) for n, text in enumerate(site_places.electrode_lines(pen.readings, electrode))
            for part in wrap(text, room, bold=n == 0)]  # fmt: skip
    items += [Text(words_x, level + 3 + n * LINE_HEIGHT, text, BODY, bold) for n, (text, bold) in enumerate(told)]
    pen.strip(max(len(told) * LINE_HEIGHT, 10) + 8, [Group(f"electrode/{id}", electrode.title, tuple(items))])


def _with_landing(strip: Strip, lane: float, edge: float, level: float) -> Strip:
    """The strip with the short line from a lane to the enclosure whose middle it holds."""
    landed = line((lane, level), (edge, level))
    if not strip.y0 <= level < strip.y1 or landed in strip.items:
        return strip
    return Strip(strip.y0, strip.y1, (*strip.items, landed))
