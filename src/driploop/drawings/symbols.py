"""One-line symbols, after the families of the open symbol standards (IEEE 315, IEC 60617; shapes from memory).

A symbol that sits in a line is centred on ``x``, starts at ``y`` and is ``height`` tall: the line goes on from there.
"""

from __future__ import annotations

from dataclasses import dataclass

from driploop.drawings.display import BODY, DASHED, HEAVY, MEDIUM, THIN, Arc, Circle, Item, Polyline, Rect, Text

BUS_WEIGHT = 2.6


@dataclass(frozen=True, slots=True)
class Symbol:
    """The marks of one symbol and how much of the line it takes up. [pt]"""

    items: tuple[Item, ...]
    height: float


def line(*points: tuple[float, float], weight: float = THIN, dash: str = "") -> Polyline:
    """A line through points."""
    return Polyline(points, weight, dash)


def dot(x: float, y: float, radius: float = 1.5) -> Circle:
    """Where two lines are joined."""
    return Circle(x, y, radius, 0.0, fill="black")


def transformer(x: float, y: float) -> Symbol:
    """A two-winding transformer: two circles that share an edge."""
    return Symbol((Circle(x, y + 8, 8, MEDIUM), Circle(x, y + 19, 8, MEDIUM)), 27)


def lettered(x: float, y: float, letter: str, radius: float = 9.5) -> Symbol:
    """A circle with a letter: M in a meter, G in a generator."""
    letters = Text(x, y + radius + 3, letter, 9, True, "middle")
    return Symbol((Circle(x, y + radius, radius, MEDIUM), letters), 2 * radius)


def meter(x: float, y: float) -> Symbol:
    """A watt-hour meter."""
    return lettered(x, y, "M")


def generator(x: float, y: float) -> Symbol:
    """A generator."""
    return lettered(x, y, "G", 8)


def switch(x: float, y: float) -> Symbol:
    """A disconnect switch: a blade on its hinge, drawn open."""
    items = (
        line((x, y), (x, y + 3)),
        Circle(x, y + 4, 1.2, THIN, fill="white"),
        line((x, y + 16), (x - 7, y + 5), weight=MEDIUM),
        dot(x, y + 16, 1.3),
        line((x, y + 16), (x, y + 20)),
    )
    return Symbol(items, 20)


def fuse(x: float, y: float) -> Symbol:
    """A fuse: a small box with the line running through."""
    return Symbol((Rect(x - 3, y + 2, 6, 13, MEDIUM), line((x, y), (x, y + 17))), 17)


def breaker(x: float, y: float) -> Symbol:
    """A circuit breaker: a gap bridged by an arc."""
    items = (
        line((x, y), (x, y + 3)),
        dot(x, y + 3.5, 1.3),
        Arc(x - 1.5, y + 9, 7, -58, 58, MEDIUM),
        dot(x, y + 14.5, 1.3),
        line((x, y + 15), (x, y + 18)),
    )
    return Symbol(items, 18)


def not_known(x: float, y: float) -> Symbol:
    """A device nobody has seen: a dashed circle with a question mark."""
    items = (
        line((x, y), (x, y + 2)),
        Circle(x, y + 8.5, 6.5, THIN, DASHED),
        Text(x, y + 11, "?", BODY, True, "middle"),
        line((x, y + 15), (x, y + 17)),
    )
    return Symbol(items, 17)


def transfer_switch(x: float, y: float) -> Symbol:
    """A switch between two supplies; the other supply is a generator or the like."""
    items = (
        line((x, y), (x, y + 3)),
        Circle(x, y + 4, 1.2, THIN, fill="white"),
        Circle(x - 9, y + 4, 1.2, THIN, fill="white"),
        line((x - 9, y + 3), (x - 9, y)),
        line((x, y + 16), (x - 1, y + 5), weight=MEDIUM),
        dot(x, y + 16, 1.3),
        line((x, y + 16), (x, y + 20)),
    )
    return Symbol(items, 20)


def through(x: float, y: float) -> Symbol:
    """A plain line: main lugs, or conductors that are only joined."""
    return Symbol((line((x, y), (x, y + 10)),), 10)


def splice(x: float, y: float) -> Symbol:
    """Conductors joined in a box."""
    return Symbol((line((x, y), (x, y + 10)), dot(x, y + 5, 2)), 10)


def bus(x0: float, x1: float, y: float) -> Polyline:
    """A bus bar."""
    return line((x0, y), (x1, y), weight=BUS_WEIGHT)


def arrow_down(x: float, y: float, length: float) -> tuple[Item, ...]:
    """An arrow: branch circuits leave here."""
    tip = y + length
    head = ((x, tip), (x - 2.2, tip - 5), (x + 2.2, tip - 5), (x, tip))
    return (line((x, y), (x, tip - 4)), Polyline(head, THIN, filled=True))


def earth(x: float, y: float) -> tuple[Item, ...]:
    """The earth: three bars, each shorter than the one above; joined at its top. 8 pt tall."""
    return (
        line((x, y), (x, y + 2)),
        line((x - 6, y + 2), (x + 6, y + 2), weight=MEDIUM),
        line((x - 4, y + 5), (x + 4, y + 5), weight=MEDIUM),
        line((x - 2, y + 8), (x + 2, y + 8), weight=MEDIUM),
    )


def neutral_mark(x: float, y: float, *, bonded: bool | None) -> tuple[Item, ...]:
    """Neutral bar (round) and enclosure (square), joined, apart, or not known. 17 pt wide, centred on ``y``."""
    ends: tuple[Item, ...] = (Circle(x + 3, y, 2.6, MEDIUM), Rect(x + 12, y - 2.6, 5.2, 5.2, MEDIUM))
    if bonded is None:
        return (*ends, line((x + 5.6, y), (x + 12, y), dash="1 1.6"))
    if bonded:
        return (*ends, line((x + 5.6, y), (x + 12, y), weight=HEAVY * 1.2))
    return ends


def wire_ticks(x: float, y: float, wires: int, *, neutral: bool = True) -> tuple[Item, ...]:
    """Strokes across a line: short for a line conductor, long for the neutral, with a ball for equipment ground."""
    kinds = _wire_kinds(wires, neutral=neutral)
    items: list[Item] = []
    for number, kind in enumerate(kinds):
        middle = y + (number - (len(kinds) - 1) / 2) * 3.4
        reach = 6.0 if kind == "neutral" else 3.6
        items.append(line((x - reach, middle + reach / 2), (x + reach, middle - reach / 2)))
        if kind == "ground":
            items.append(dot(x - reach, middle + reach / 2, 1.5))
    return tuple(items)


def _wire_kinds(wires: int, *, neutral: bool) -> tuple[str, ...]:
    if not neutral:
        return (*("line",) * (wires - 1), "ground")
    return {2: ("line", "neutral"), 3: ("line", "line", "neutral")}.get(wires, ("line", "line", "neutral", "ground"))
