"""A small service leg by leg: each 120 V load on its own line, the neutral by what stands against what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from math import fsum
from typing import Literal

from driploop.editions import Edition
from driploop.worksheet import Worksheet, WorksheetWriter, plain

Leg = Literal["A", "B", "both"]


@dataclass(frozen=True, slots=True)
class LegLoad:
    """One load and the line it is on; "both" for two lines. [A]"""

    name: str
    current_a: float
    leg: Leg
    motor: bool = False


@dataclass(frozen=True, slots=True)
class LineCurrents:
    """Current of each line and of the neutral. [A]"""

    line_a_a: float
    line_b_a: float
    neutral_a: float
    worksheet: Worksheet


def line_currents(
    lines_a: float, neutral_a: float, loads: Sequence[LegLoad], *, edition: Edition, where: str = "legs"
) -> LineCurrents:
    """Line and neutral currents where each load's line is known.

    Args:
        lines_a: current of both lines before these loads. [A]
        neutral_a: current of the neutral before these loads. [A]
        loads: the loads with their lines.
        edition: the code edition to ask.
        where: names the worksheet ``load/<where>/legs``.

    Source:
        NEC 2020: 220.61, 430.24; the arrangement of Annex D, example D1(b).
    """
    sheet = WorksheetWriter(f"load/{where}/legs", "Currents by line")
    section = edition.section("motor-feeder")
    share = edition.number("largest_motor_percent") / 100
    currents = {}
    for leg in ("A", "B"):
        mine = [load for load in loads if load.leg in (leg, "both")]
        motor = max((load.current_a for load in mine if load.motor), default=0.0)
        parts = [lines_a, *(load.current_a for load in mine), motor * share]
        working = " + ".join(plain(part) for part in parts)
        currents[leg] = sheet.number(f"Line {leg}", working, fsum(parts), "A", section, key=f"line_{leg.lower()}")
    singles = [load for load in loads if load.leg != "both"]
    unbalanced = _unbalanced(singles)
    motor = max((load.current_a for load in singles if load.motor), default=0.0)
    parts = [neutral_a, *unbalanced, motor * share]
    working = " + ".join(plain(part) for part in parts)
    total = fsum(parts)
    section = edition.section("neutral-load")
    neutral = sheet.number("Neutral", working, total, "A", section, key="neutral")
    return LineCurrents(currents["A"], currents["B"], neutral, sheet.done())


def _unbalanced(singles: Sequence[LegLoad]) -> list[float]:
    """Of loads that stand against each other on the two lines the larger, and in full what has nothing against it."""
    on_a = sorted((load.current_a for load in singles if load.leg == "A"), reverse=True)
    on_b = sorted((load.current_a for load in singles if load.leg == "B"), reverse=True)
    return [max(pair) for pair in zip_longest(on_a, on_b, fillvalue=0.0)]
