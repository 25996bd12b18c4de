"""Rods in plan, to scale, with their distances and what the system reads."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from driploop.drawings import symbols
from driploop.drawings.display import (
    BODY,
    DASHED,
    LINE_HEIGHT,
    MEDIUM,
    NAME,
    PORTRAIT,
    Circle,
    Drawing,
    Group,
    Item,
    Polyline,
    Text,
    shortened,
    wrap,
)
from driploop.drawings.legend import Entry
from driploop.drawings.sheets import moved
from driploop.drawings.stack import Block, stacked
from driploop.drawings.symbols import line
from driploop.earth import EarthReading, EarthSystem, Fall, PlacedRod, second_rod_percent
from driploop.earth.formulas import apart_ft
from driploop.editions import common_table
from driploop.installation import Installation
from driploop.worksheet import plain

_ROOM = 300.0
_PLAN = 84.0
_RING = 120.0
_WORDS_AT = 340.0
_TEST_HEIGHT = 100.0
_KEY: tuple[Entry, ...] = (
    (lambda x, y: (symbols.dot(x + 10, y, 2.6),), "rod, seen from above"),
    (lambda x, y: (Circle(x + 10, y, 8, dash=DASHED),), "half a rod length round it, to scale: where it works most"),
)
_NOTES = (
    "Computed for one uniform soil and joined by wire that itself touches no earth. Rods stand in one line unless a "
    "ring was surveyed, as far apart as surveyed, else as far as the code asks. A test after driving shows what the "
    "soil really is.",
)


def rod_layouts(earth: EarthReading, installation: Installation, *, title: str) -> tuple[Drawing, ...]:
    """Every electrode system that can be computed, in plan, with its band of resistance.

    Args:
        earth: what was read of it.
        installation: for the names.
        title: printed on top.
    """
    blocks = [_block(system, installation) for system in earth.systems.values() if system.low_ohm is not None]
    rods = next((system.rods for system in earth.systems.values() if system.rods), ())
    notes = (*_NOTES, _why_apart(rods[0])) if rods else _NOTES
    return stacked(blocks, id="rods", title=title, entries=_KEY, notes=notes)


def _why_apart(rod: PlacedRod) -> str:
    """Why a second rod near the first helps little, in figures."""
    half, one, two = (
        f"{second_rod_percent(share, length_ft=rod.length_ft, diameter_in=rod.diameter_in):.0f} %"
        for share in (0.5, 1.0, 2.0)
    )
    return (
        f"Why apart: rods that stand near each other press their current through the same earth. Two rods half a rod "
        f"length apart read {half} of one, a rod length apart {one}, two lengths apart {two}; 50 % would be the best."
    )


def _block(system: EarthSystem, installation: Installation) -> Block:
    building = installation.buildings.get(system.building)
    name = building.title if building is not None else system.building
    words = [shown for sentence in _sentences(system) for shown in wrap(sentence, PORTRAIT.width - _WORDS_AT)]
    items: list[Item] = [Text(0, 10, shortened(name, _ROOM, size=NAME, bold=True), NAME, True)]
    items += _plan(system, installation)
    items += [Text(_WORDS_AT, 10 + LINE_HEIGHT * number, each) for number, each in enumerate(words)]
    height = max(_PLAN + 24 + (_RING - _PLAN + 34 if system.ring else 0), LINE_HEIGHT * len(words) + 6)
    level = 10 + LINE_HEIGHT * len(words)
    for id, fall in system.falls.items():
        items += moved(tuple(_test(installation.electrodes[id].title, fall)), _WORDS_AT, level)
        level += _TEST_HEIGHT
        height = max(height, level)
    told = f"{name}: {' '.join(_sentences(system))}"
    return Block((Group(f"earth/{system.building}", name, tuple(items)),), height, told)


def _test(name: str, fall: Fall) -> Iterator[Item]:
    """The curve of a fall-of-potential test over the way to the current probe, with the place where it is read."""
    across, down, top = PORTRAIT.width - _WORDS_AT - 40, 44.0, 14.0
    read_at = common_table("earth_practice").cell("value", name="potential_probe_share").number
    most = max(ohm for _, ohm in fall.curve) or 1.0
    bottom = top + down

    def at(share: float, ohm: float) -> tuple[float, float]:
        return 30 + min(share, 1.0) * across, bottom - ohm / most * down

    yield Text(0, 8, shortened(f"Test of {name}", across + 30), BODY, True)
    yield Polyline(((30, top), (30, bottom), (30 + across, bottom)))
    yield Polyline(tuple(at(*point) for point in fall.curve), MEDIUM)
    for point in fall.curve:
        yield symbols.dot(*at(*point), 1.6)
    yield Text(26, top + 5, f"{plain(most)} ohm", BODY, anchor="end")
    x = at(read_at, 0)[0]
    yield Polyline(((x, top), (x, bottom)), dash=DASHED)
    yield Text(x, bottom + 8, f"{read_at:.0%} of the way", BODY, anchor="middle")
    value = "" if fall.value_ohm is None else f"{plain(round(fall.value_ohm, 1))} ohm there. "
    for number, words in enumerate(wrap(value + (fall.warning or "The plateau is there."), across + 40)):
        yield Text(0, bottom + 18 + LINE_HEIGHT * number, words)


def _plan(system: EarthSystem, installation: Installation) -> Iterator[Item]:
    if not system.rods:
        names = ", ".join(installation.electrodes[id].title for id in system.computed)
        for number, words in enumerate(wrap(f"No rods: {names}.", _ROOM)):
            yield Text(0, 26 + LINE_HEIGHT * number, words)
        return
    longest = max(rod.length_ft for rod in system.rods)
    xs, ys = [rod.x_ft for rod in system.rods], [rod.y_ft for rod in system.rods]
    across, deep = max(xs) - min(xs), max(ys) - min(ys)
    # Scaled to what stands there: a ring needs as much room down as across.
    scale = min((_ROOM - 20) / (across + longest), (_PLAN - 34) / longest if not deep else _RING / (deep + longest))
    left, top = 10 + longest / 2 * scale, 22 + longest / 2 * scale
    spots = [(left + (x - min(xs)) * scale, top + (max(ys) - y) * scale) for x, y in zip(xs, ys, strict=True)]
    for number, ((x, y), rod) in enumerate(zip(spots, system.rods, strict=True), start=1):
        yield Circle(x, y, rod.length_ft / 2 * scale, dash=DASHED)
        yield symbols.dot(x, y, 2.6)
        # Every other number stands below, so that near rods keep theirs apart.
        yield Text(x, y - 6 if number % 2 else y + 11, str(number), BODY, True, "middle")
    yield Polyline(tuple(spots + spots[:1] if system.ring else spots), MEDIUM)
    level = top + (deep + longest / 2) * scale + 12
    if system.ring:
        apart = plain(round(apart_ft(*system.rods[:2]), 1))
        yield Text(0, level + 6, f"In a ring, {apart} ft from each to the next.")
    else:
        yield from _distances(system, [x for x, _ in spots], level)
    names = "; ".join(f"{n} {installation.electrodes[id].title}" for n, id in enumerate(system.rod_ids, start=1))
    yield Text(0, level + 21, shortened(names, _ROOM + 20))


def _distances(system: EarthSystem, xs: list[float], level: float) -> Iterator[Item]:
    for (x0, a), (x1, b) in pairwise(zip(xs, system.rods, strict=True)):
        yield line((x0, level), (x1, level))
        yield from (line((x, level - 3), (x, level + 3)) for x in (x0, x1))
        yield Text((x0 + x1) / 2, level + 9, f"{plain(round(b.x_ft - a.x_ft, 1))} ft", BODY, anchor="middle")


def _sentences(system: EarthSystem) -> list[str]:
    assert system.low_ohm is not None
    assert system.middle_ohm is not None
    assert system.high_ohm is not None
    assert system.frozen_ohm is not None
    assert system.dry_ohm is not None
    said = [
        f"{_ohm(system.low_ohm)} to {_ohm(system.high_ohm)} ohm, middle {_ohm(system.middle_ohm)} ohm.",
        f"Ground frozen: up to {_ohm(system.frozen_ohm)} ohm; dry summer: up to {_ohm(system.dry_ohm)} ohm.",
    ]
    if system.chance_one_rod is not None and system.chance_two_rods is not None:
        one, two = (f"{100 * chance:.0f} %" for chance in (system.chance_one_rod, system.chance_two_rods))
        said.append(f"Chance of {plain(system.limit_ohm)} ohm: one rod {one}, two rods {two} (see worksheet).")
    if system.measured_ohm is not None:
        said.append(f"Measured on one of them: {plain(round(system.measured_ohm, 1))} ohm.")
    return said


def _ohm(ohm: float) -> str:
    return plain(float(f"{ohm:.2g}"))
