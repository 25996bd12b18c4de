"""Resistance to earth of single electrodes and of rods together, in soil of one resistivity.

Lengths are feet or inches as named; every formula is linear in the resistivity, so each answers for a resistivity.
All hold for one uniform soil; layered soil lies between the answers of its layers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

CM_PER_FT = 30.48
CM_PER_IN = 2.54


@dataclass(frozen=True, slots=True)
class PlacedRod:
    """A vertical rod whose head is at grade: where it stands in plan, its length and diameter."""

    x_ft: float
    y_ft: float
    length_ft: float
    diameter_in: float


def apart_ft(one: PlacedRod, other: PlacedRod) -> float:
    """From the axis of one rod to that of another. [ft]"""
    return math.hypot(one.x_ft - other.x_ft, one.y_ft - other.y_ft)


def is_thin(*, length_ft: float, diameter_in: float) -> bool:
    """Whether a rod is at least ten times as long as it is thick, so that ``rod_ohm`` holds for it."""
    return length_ft * 12 >= 10 * diameter_in


def rod_ohm(resistivity_ohm_cm: float, *, length_ft: float, diameter_in: float) -> float:
    """Resistance of one vertical rod whose head is at grade. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        length_ft: in the earth. [ft]
        diameter_in: of the rod. [in]

    Raises:
        ValueError: the rod is not at least ten times as long as it is thick; the formula is one of thin rods.

    Source:
        H. B. Dwight, "Calculation of Resistances to Ground", AIEE 1936; reprinted in IEEE Std 142, table of formulas:
        R = rho / (2 pi L) (ln 4L/a - 1).
    """
    length_cm, radius_cm = length_ft * CM_PER_FT, diameter_in * CM_PER_IN / 2
    if not is_thin(length_ft=length_ft, diameter_in=diameter_in):
        raise ValueError(f"a rod of {length_ft:g} ft and {diameter_in:g} in is too stout for the formula of thin rods")
    return resistivity_ohm_cm / (2 * math.pi * length_cm) * (math.log(4 * length_cm / radius_cm) - 1)


def mutual_ohm(resistivity_ohm_cm: float, *, first_ft: float, second_ft: float, spacing_ft: float) -> float:
    """Mutual resistance of two vertical rods with heads at grade: volts on one for each ampere from the other. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        first_ft: length of one rod. [ft]
        second_ft: length of the other. [ft]
        spacing_ft: between their axes, above zero. [ft]

    Source:
        Mean potential of a line of current and its mirror image along the other rod: the method of Dwight 1936 and of
        E. D. Sunde, "Earth Conduction Effects in Transmission Systems", 1949, chapter 3. At a spacing of the rod's
        own radius it becomes the resistance of one rod; far apart it becomes rho / (2 pi s).
    """
    s = spacing_ft
    double = 2 * (_psi(first_ft + second_ft, s) - _psi(first_ft - second_ft, s))
    return resistivity_ohm_cm / CM_PER_FT * double / (8 * math.pi * first_ft * second_ft)


def _psi(u: float, s: float) -> float:
    return u * math.asinh(u / s) - math.hypot(u, s)


def rods_ohm(resistivity_ohm_cm: float, rods: Sequence[PlacedRod]) -> float:
    """Resistance of rods joined by a wire that touches no earth, with their mutual effect. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        rods: where they stand; no two at one spot.

    Raises:
        ValueError: no rods, two rods closer than their radii, or a rod too stout.

    Source:
        Self and mutual resistances as ``rod_ohm`` and ``mutual_ohm``, all rods at one voltage: Sunde 1949, chapter 3.
        For two equal rods this is Dwight's pair of 1936.
    """
    if not rods:
        raise ValueError("no rods")
    matrix = [[_between(resistivity_ohm_cm, a, b, same=i == j) for j, b in enumerate(rods)] for i, a in enumerate(rods)]
    currents = _solved(matrix, [1.0] * len(rods))
    return 1 / sum(currents)


def _between(resistivity_ohm_cm: float, a: PlacedRod, b: PlacedRod, *, same: bool) -> float:
    if same:
        return rod_ohm(resistivity_ohm_cm, length_ft=a.length_ft, diameter_in=a.diameter_in)
    spacing_ft = apart_ft(a, b)
    if spacing_ft * 12 < (a.diameter_in + b.diameter_in) / 2:
        raise ValueError("two rods stand at one spot")
    return mutual_ohm(resistivity_ohm_cm, first_ft=a.length_ft, second_ft=b.length_ft, spacing_ft=spacing_ft)


def _solved(matrix: list[list[float]], right: list[float]) -> list[float]:
    """Gauss with row exchange; the matrix is small and positive definite."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    size = len(rows)
    for column in range(size):
        pivot = max(range(column, size), key=lambda r: abs(rows[r][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for r in range(column + 1, size):
            share = rows[r][column] / rows[column][column]
            rows[r] = [below - share * above for below, above in zip(rows[r], rows[column], strict=True)]
    answer = [0.0] * size
    for r in reversed(range(size)):
        known = sum(rows[r][c] * answer[c] for c in range(r + 1, size))
        answer[r] = (rows[r][size] - known) / rows[r][r]
    return answer


def in_line(count: int, *, spacing_ft: float, length_ft: float, diameter_in: float) -> tuple[PlacedRod, ...]:
    """Equal rods in one line. [ft, in]"""
    return tuple(PlacedRod(n * spacing_ft, 0.0, length_ft, diameter_in) for n in range(count))


def in_ring(count: int, *, spacing_ft: float, length_ft: float, diameter_in: float) -> tuple[PlacedRod, ...]:
    """Equal rods on a circle, neighbours ``spacing_ft`` apart in a straight line. [ft, in]"""
    if count < 3:
        return in_line(count, spacing_ft=spacing_ft, length_ft=length_ft, diameter_in=diameter_in)
    radius_ft = spacing_ft / (2 * math.sin(math.pi / count))
    turns = (2 * math.pi * n / count for n in range(count))
    return tuple(PlacedRod(radius_ft * math.cos(t), radius_ft * math.sin(t), length_ft, diameter_in) for t in turns)


def plate_ohm(resistivity_ohm_cm: float, *, surface_ft2: float, depth_in: float) -> float:
    """Resistance of a plate that lies flat in the earth, both faces in contact, as a disc of the same area. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        surface_ft2: all surface that touches earth: both faces. [ft2]
        depth_in: of the plate under grade. [in] At least half its radius, or the series does not hold.

    Source:
        Dwight 1936, buried horizontal round plate; IEEE Std 142, table of formulas:
        R = rho/(8a) + rho/(4 pi s) (1 - 7/12 a2/s2 + 33/40 a4/s4), s twice the depth.
    """
    radius = math.sqrt(surface_ft2 / 2 / math.pi) * CM_PER_FT
    s = max(2 * depth_in * CM_PER_IN, radius)
    ratio = (radius / s) ** 2
    image = (1 - 7 / 12 * ratio + 33 / 40 * ratio**2) / (4 * math.pi * s)
    return resistivity_ohm_cm * (1 / (8 * radius) + image)


def ring_ohm(resistivity_ohm_cm: float, *, length_ft: float, wire_diameter_in: float, depth_in: float) -> float:
    """Resistance of a ring of bare wire in the earth, laid out as a circle. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        length_ft: of the wire, all round. [ft]
        wire_diameter_in: of the wire. [in]
        depth_in: under grade, small against the ring; a deep one is taken as out of its mirror image's reach. [in]

    Source:
        Dwight 1936, ring of wire; IEEE Std 142, table of formulas:
        R = rho/(2 pi2 D) (ln 8D/d + ln 4D/s), s twice the depth.
    """
    ring = length_ft * CM_PER_FT / math.pi
    s = min(max(2 * depth_in, wire_diameter_in) * CM_PER_IN, 4 * ring)
    return (
        resistivity_ohm_cm
        / (2 * math.pi**2 * ring)
        * (math.log(8 * ring / (wire_diameter_in * CM_PER_IN)) + math.log(4 * ring / s))
    )


def wire_ohm(resistivity_ohm_cm: float, *, length_ft: float, diameter_in: float, depth_in: float) -> float:
    """Resistance of a straight wire that lies level in the earth. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        length_ft: from end to end. [ft]
        diameter_in: of the wire. [in]
        depth_in: under grade, at most half its length; a deeper one is taken as that deep. [in]

    Source:
        Dwight 1936, buried horizontal wire of length 2L; IEEE Std 142, table of formulas:
        R = rho/(4 pi L) (ln 4L/a + ln 4L/s - 2 + s/2L - s2/16L2 + s4/512L4), s twice the depth.
    """
    half, radius = length_ft * CM_PER_FT / 2, diameter_in * CM_PER_IN / 2
    s = min(max(2 * depth_in * CM_PER_IN, 2 * radius), 2 * half)
    series = s / (2 * half) - (s / half) ** 2 / 16 + (s / half) ** 4 / 512
    return (
        resistivity_ohm_cm / (4 * math.pi * half) * (math.log(4 * half / radius) + math.log(4 * half / s) - 2 + series)
    )


def concrete_encased_ohm(
    resistivity_ohm_cm: float, *, concrete_ohm_cm: float, length_ft: float, bar_diameter_in: float,
    concrete_diameter_in: float, depth_in: float,
) -> float:  # fmt: skip
    """Resistance of a bar in a footing: the concrete round the bar, then a level wire as thick as the concrete. [ohm]

    Args:
        resistivity_ohm_cm: of the soil. [ohm-cm]
        concrete_ohm_cm: of damp concrete. [ohm-cm]
        length_ft: of the bar in concrete. [ft]
        bar_diameter_in: of the bar. [in]
        concrete_diameter_in: of a round footing of the same outline. [in]
        depth_in: of the bar under grade. [in]

    Source:
        E. J. Fagan and R. H. Lee, "The Use of Concrete-Enclosed Reinforcing Rods as Grounding Electrodes", IEEE 1970:
        shell and soil in series; the soil's part by ``wire_ohm``, since a footing lies level.
    """
    shell = concrete_ohm_cm / (2 * math.pi * length_ft * CM_PER_FT) * math.log(concrete_diameter_in / bar_diameter_in)
    return shell + wire_ohm(
        resistivity_ohm_cm, length_ft=length_ft, diameter_in=concrete_diameter_in, depth_in=depth_in
    )
