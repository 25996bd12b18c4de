"""The voltage along each feeder: from the utility to every far end, leg by leg, at calculated load."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from driploop.drawings import legend
from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    LINE_HEIGHT,
    LONG_DASHED,
    MEDIUM,
    NAME,
    PORTRAIT,
    THIN,
    Circle,
    Drawing,
    Group,
    Item,
    Text,
    shortened,
)
from driploop.drawings.sheets import finished, moved, room_taken
from driploop.drawings.symbols import line
from driploop.installation import UTILITY
from driploop.network import LEG_V
from driploop.rules.readings import Readings
from driploop.voltage import VoltageAt

LEFT, RIGHT = 34.0, PORTRAIT.width - 8
PLOT_HEIGHT = 104.0
#: Room over the plot for the name and the numbered places, and under it for the distances. [pt]
TOP, BAND, UNDER = 16.0, 26.0, 20.0
MARK = 5.4
GAP = 16.0
STEP_V = 5
#: Columns of the list under a plot: number, place, feet, leg A, leg B, across.
COLUMNS = (0.0, 14.0, 262.0, 330.0, 398.0, 466.0)

_STROKES = ((HEAVY, ""), (MEDIUM, LONG_DASHED), (THIN, DASHED))
KEY: tuple[legend.Entry, ...] = (
    (lambda x, y: (line((x, y), (x + 20, y), weight=HEAVY),), "leg A to neutral"),
    (lambda x, y: (line((x, y), (x + 20, y), weight=MEDIUM, dash=LONG_DASHED),), "leg B to neutral"),
    (lambda x, y: (line((x, y), (x + 20, y), weight=THIN, dash=DASHED),), "half of what stands across both"),
)


@dataclass(frozen=True, slots=True)
class Stop:
    """One enclosure on the way: how far from the utility, and its voltages. [ft, V]"""

    id: str
    title: str
    distance_ft: float
    at: VoltageAt

    @property
    def volts(self) -> tuple[float | None, float | None, float]:
        """Leg A, leg B, half across."""
        return self.at.leg_a_v, self.at.leg_b_v, self.at.across_v / 2


def voltage_profiles(readings: Readings, *, title: str) -> tuple[Drawing, ...]:
    """The voltage along each feeder, as many to a sheet as fit.

    Args:
        readings: the installation with its readings.
        title: what stands on top of every sheet.

    Returns:
        The sheets in order; none where nothing hangs on a known supply.
    """
    plots = [_plot(readings, way) for way in _ways(readings)]
    notes = (
        f"Supply at its weakest ({readings.voltages.built.supply.words}), hot wires, calculated load, all of the "
        "neutral's current on leg A. Where a length is not known, the long one is drawn.",
    )
    room = PORTRAIT.height - room_taken(KEY, notes, PORTRAIT.width)
    sheets = list(_sheets(plots, room))
    id = f"voltage-{readings.installation.state}"
    return tuple(
        finished(
            items, height, page=PORTRAIT, id=f"{id}-{number}", title=title, number=number, count=len(sheets),
            description="Voltage of each leg and across, by distance from the utility, for each far end.",
            entries=KEY, notes=notes,
        )
        for number, (items, height) in enumerate(sheets, 1)
    )  # fmt: skip


def _ways(readings: Readings) -> Iterator[list[Stop]]:
    """The way to every far end, from the first enclosure after the utility."""
    at, wires = readings.voltages.calculated.at, readings.voltages.built.wires
    for id in at:
        if any(readings.installation.runs[run].to in at for run in readings.graph.runs_out.get(id, ())):
            continue
        path = [id, *(up for up in readings.graph.path_up(id) if up != UTILITY)][::-1]
        distance, stops = 0.0, []
        for here in path:
            run = readings.graph.feeding_run(here)
            distance += wires[run.id].length_ft if run is not None else 0.0
            stops.append(Stop(here, readings.graph.equipment(here).title, distance, at[here]))
        yield stops


def _sheets(plots: Sequence[tuple[Group, float]], room: float) -> Iterator[tuple[list[Item], float]]:
    items: list[Item] = []
    level = 0.0
    for plot, height in plots:
        if items and level + height > room:
            yield items, level
            items, level = [], 0.0
        items.extend(moved((plot,), 0, level))
        level += height
    if items:
        yield items, level


def _plot(readings: Readings, stops: Sequence[Stop]) -> tuple[Group, float]:
    """One feeder's plot with its list, from its own upper left corner, and its height. [pt]"""
    end = stops[-1]
    top = TOP + BAND
    leg_a, leg_b, across = readings.voltages.calculated.terminals_v
    terminals = (leg_a, leg_b, across / 2)
    lowest = min(*terminals, *(v for stop in stops for v in stop.volts if v is not None))
    highest = max(LEG_V, *terminals, *(v for stop in stops for v in stop.volts if v is not None))
    low, high = math.floor(lowest / STEP_V) * STEP_V, (math.floor(highest / STEP_V) + 1) * STEP_V
    longest = max(end.distance_ft, 1.0)

    def x_of(distance_ft: float) -> float:
        return LEFT + distance_ft / longest * (RIGHT - LEFT)

    def y_of(volts: float) -> float:
        return top + (high - volts) / (high - low) * PLOT_HEIGHT

    items: list[Item] = [Text(0, 9, f"To {end.title}", NAME, True), *_grid(low, high, y_of)]
    for number, (weight, dash) in enumerate(_STROKES):
        points = [(x_of(stop.distance_ft), y_of(v)) for stop in stops if (v := stop.volts[number]) is not None]
        start = (LEFT, y_of(terminals[number]))
        items.append(line(start, *points, weight=weight, dash=dash))
    items += _marks(stops, x_of, top)
    bottom = top + PLOT_HEIGHT
    items.append(Text(LEFT, bottom + 9, "0 ft"))
    items.append(Text(RIGHT, bottom + 9, f"{end.distance_ft:,.0f} ft", anchor="end"))
    level = bottom + UNDER
    heads = ("", "", "from the utility", "leg A", "leg B", "across")
    rows = [heads, *(_row(number, stop) for number, stop in enumerate(stops, 1))]
    for row in rows:
        level += LINE_HEIGHT
        for x, cell in zip(COLUMNS, row, strict=True):
            items.append(Text(LEFT + x, level - 2.2, cell, BODY, row is heads))
    return Group(f"voltage/{end.id}", f"Voltage to {end.title}", tuple(items)), level + GAP


def _row(number: int, stop: Stop) -> tuple[str, ...]:
    a, b, half = stop.volts
    legs = [f"{v:.1f} V" if v is not None else "–" for v in (a, b)]
    title = shortened(stop.title, COLUMNS[2] - COLUMNS[1] - 6)
    return str(number), title, f"{stop.distance_ft:,.0f} ft", *legs, f"{2 * half:.1f} V"


def _grid(low: float, high: float, y_of: Callable[[float], float]) -> list[Item]:
    items: list[Item] = []
    step = STEP_V if high - low <= 8 * STEP_V else 4 * STEP_V
    volts = high
    while volts >= low - 1e-9:
        y = y_of(volts)
        items.append(line((LEFT, y), (RIGHT, y), weight=0.25))
        items.append(Text(LEFT - 4, y + 2.4, f"{volts:.0f} V", anchor="end"))
        volts -= step
    items.append(line((LEFT, y_of(high)), (LEFT, y_of(low))))
    items.append(line((LEFT, y_of(low)), (RIGHT, y_of(low))))
    return items


def _marks(stops: Sequence[Stop], x_of: Callable[[float], float], top: float) -> list[Item]:
    """Numbers over the plot, each with a line down to its place; what lies close together is spread apart."""
    places = [x_of(stop.distance_ft) for stop in stops]
    spread: list[float] = []
    for place in places:
        spread.append(max(place, spread[-1] + 2 * MARK + 2 if spread else LEFT + MARK))
    over = spread[-1] - (RIGHT - MARK)
    if over > 0:
        limit = RIGHT - MARK
        for k in range(len(spread) - 1, -1, -1):
            spread[k] = min(spread[k], limit)
            limit = spread[k] - 2 * MARK - 2
    items: list[Item] = []
    y = top - BAND + MARK + 2
    for number, (place, x) in enumerate(zip(places, spread, strict=True), 1):
        items.append(Circle(x, y, MARK))
        items.append(Text(x, y + 2.4, str(number), anchor="middle"))
        items.append(line((x, y + MARK), (place, top), (place, top + PLOT_HEIGHT), weight=0.25))
    return items
