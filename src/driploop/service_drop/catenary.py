"""A cable between two supports: its shape, its pull, and what temperature, ice and wind make of both.

The exact catenary for supports at any height; stretch and warmth by the unstressed length. Forces are pounds, lengths
feet, loads pounds to the foot.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

_STEPS = 48
#: Bounds of the search for the catenary's parameter, as multiples of the span: very slack and nearly straight.
_SLACKEST, _TIGHTEST = 0.15, 1e5


@dataclass(frozen=True, slots=True)
class Hang:
    """A hanging cable. ``parameter_ft`` is horizontal pull over load; ``rise_ft`` how much the far end is higher.

    The near end is at 0; x grows towards the far end at ``span_ft``.
    """

    span_ft: float
    rise_ft: float
    parameter_ft: float
    load_lb_per_ft: float

    @property
    def lowest_at_ft(self) -> float:
        """Where the curve is level, which may lie outside the span. [ft]"""
        a, s = self.parameter_ft, self.span_ft
        return s / 2 - a * math.asinh(self.rise_ft / (2 * a * math.sinh(s / (2 * a))))

    def height_ft(self, x_ft: float) -> float:
        """Height over the near end. [ft]"""
        a, x0 = self.parameter_ft, self.lowest_at_ft
        # cosh p - cosh q = 2 sinh((p+q)/2) sinh((p-q)/2), which keeps its figures where both are near 1.
        return 2 * a * math.sinh((x_ft - 2 * x0) / (2 * a)) * math.sinh(x_ft / (2 * a))

    @property
    def lowest_ft(self) -> float:
        """Height of the lowest point within the span over the near end. [ft] Below zero where it hangs lower."""
        return self.height_ft(min(max(self.lowest_at_ft, 0.0), self.span_ft))

    @property
    def sag_ft(self) -> float:
        """How far mid-span hangs below the straight line between the ends. [ft]"""
        return self.rise_ft / 2 - self.height_ft(self.span_ft / 2)

    @property
    def length_ft(self) -> float:
        """Length along the cable. [ft]"""
        a = self.parameter_ft
        return math.hypot(self.rise_ft, 2 * a * math.sinh(self.span_ft / (2 * a)))

    @property
    def horizontal_lb(self) -> float:
        """Horizontal pull, the same all along. [lb]"""
        return self.load_lb_per_ft * self.parameter_ft

    @property
    def tension_lb(self) -> float:
        """Pull along the cable at its higher end, where it is largest. [lb]"""
        ends = (0.0, self.span_ft)
        return self.horizontal_lb * max(math.cosh((x - self.lowest_at_ft) / self.parameter_ft) for x in ends)

    @property
    def mean_pull_lb(self) -> float:
        """Pull along the cable, averaged over its length. [lb]"""
        a, x0 = self.parameter_ft, self.lowest_at_ft
        u0, u1 = -x0 / a, (self.span_ft - x0) / a
        stretched = (u1 - u0) / 2 + (math.sinh(2 * u1) - math.sinh(2 * u0)) / 4
        return self.horizontal_lb * a * stretched / self.length_ft


@dataclass(frozen=True, slots=True)
class Spring:
    """How a messenger stretches and grows: modulus, area of metal, growth with each degree."""

    modulus_psi: float
    area_in2: float
    expansion_per_f: float


def hang_by_sag(*, span_ft: float, rise_ft: float, sag_ft: float, load_lb_per_ft: float) -> Hang:
    """The cable that hangs ``sag_ft`` below the straight line at mid-span.

    Args:
        span_ft: level distance of the supports. [ft]
        rise_ft: far end over near end. [ft]
        sag_ft: above zero. [ft]
        load_lb_per_ft: weight, or weight with ice and wind. [lb/ft]

    Source:
        Catenary; any textbook of mechanics. Found by bisection: sag falls as the cable is drawn tighter.
    """
    return _search(span_ft, rise_ft, load_lb_per_ft, lambda hang: hang.sag_ft > sag_ft)


def hang_by_lowest(*, span_ft: float, rise_ft: float, lowest_ft: float, load_lb_per_ft: float) -> Hang:
    """The cable whose lowest point lies ``lowest_ft`` over (below zero: under) the near end; see ``hang_by_sag``.

    Raises:
        ValueError: the lowest point is as high as the lower end; then it tells nothing of the sag.
    """
    if lowest_ft >= min(0.0, rise_ft):
        raise ValueError("the lowest point must lie below both ends")
    return _search(span_ft, rise_ft, load_lb_per_ft, lambda hang: hang.lowest_ft < lowest_ft)


def changed(hang: Hang, spring: Spring, *, degrees_f: float, load_lb_per_ft: float) -> Hang:
    """The same cable at another temperature and under another load.

    Args:
        hang: as it was measured.
        spring: of the messenger.
        degrees_f: warmer by so much, below zero for colder. [F]
        load_lb_per_ft: with ice and wind. [lb/ft]

    Source:
        Change of state by unstressed length: what is hung up neither gains nor loses wire; it grows with warmth
        (expansion times degrees) and with pull (mean pull over modulus times area). No creep.
    """
    stiffness = spring.modulus_psi * spring.area_in2
    unstressed = hang.length_ft / (1 + hang.mean_pull_lb / stiffness)
    warm = unstressed * (1 + spring.expansion_per_f * degrees_f)

    def slacker_than_the_wire_allows(trial: Hang) -> bool:
        return trial.length_ft > warm * (1 + trial.mean_pull_lb / stiffness)

    return _search(hang.span_ft, hang.rise_ft, load_lb_per_ft, slacker_than_the_wire_allows)


def _search(span_ft: float, rise_ft: float, load: float, is_slacker: Callable[[Hang], bool]) -> Hang:
    """The catenary at the border between too slack and too tight, by halving the range of its parameter."""
    low, high = math.log(_SLACKEST * span_ft), math.log(_TIGHTEST * span_ft)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if is_slacker(Hang(span_ft, rise_ft, math.exp(middle), load)):
            low = middle
        else:
            high = middle
    return Hang(span_ft, rise_ft, math.exp((low + high) / 2), load)
