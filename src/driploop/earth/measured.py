"""What instruments read in the earth: four pins in a row, and the fall of potential round an electrode."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from driploop.earth.formulas import CM_PER_FT
from driploop.editions import common_table
from driploop.installation.model import Electrode

_SHALLOW = 20


def four_pin_ohm_cm(*, spacing_ft: float, resistance_ohm: float, probe_depth_in: float | None) -> float:
    """Resistivity of the soil down to about the spacing of four equally spaced pins. [ohm-cm]

    Args:
        spacing_ft: from pin to pin. [ft]
        resistance_ohm: what the instrument read. [ohm]
        probe_depth_in: how deep the pins stand; None where they are shallow. [in]

    Source:
        F. Wenner, Bureau of Standards 1915; MIL-HDBK-419A volume II, 1.1.2: rho = 2 pi a R. Where the pins stand
        deeper than a twentieth of the spacing, the full formula: 4 pi a R / (1 + 2a/sqrt(a2+4b2) - a/sqrt(a2+b2)).
    """
    a, b = spacing_ft, (probe_depth_in or 0.0) / 12
    shape = 2.0 if b <= a / _SHALLOW else 1 + 2 * a / math.hypot(a, 2 * b) - a / math.hypot(a, b)
    return 4 * math.pi * a * CM_PER_FT * resistance_ohm / shape


@dataclass(frozen=True, slots=True)
class Fall:
    """A fall-of-potential test as read: ``value_ohm`` at 61.8 percent, None where the points do not reach it.

    ``curve`` holds (share of the way to the current probe, ohms), by distance; ``plateau`` is None where too few
    points lie round it; ``warning`` is "" where the test can be believed.
    """

    curve: tuple[tuple[float, float], ...]
    value_ohm: float | None
    plateau: bool | None
    warning: str


def read_fall(points: Sequence[tuple[float, float]], *, current_probe_ft: float) -> Fall:
    """Read a fall-of-potential test.

    Args:
        points: distance of the potential probe and the reading there. [ft, ohm]
        current_probe_ft: distance of the current probe. [ft]

    Source:
        MIL-HDBK-419A volume I, 2.7: the true value stands at 61.8 percent of the way where both electrodes are small
        against the distance. How flat a plateau must be is common practice.
    """
    practice = common_table("earth_practice")
    share, start, end, spread = (
        practice.cell("value", name=name).number
        for name in ("potential_probe_share", "plateau_from_share", "plateau_to_share", "plateau_spread_percent")
    )
    curve = tuple(sorted((distance / current_probe_ft, ohm) for distance, ohm in points))
    value, low, high = (_at(curve, where) for where in (share, start, end))
    if value is None or low is None or high is None:
        missing = f"No readings from {start:.0%} to {end:.0%} of the way to the current probe: the test shows nothing."
        return Fall(curve, value, None, missing)
    between = [ohm for where, ohm in curve if start <= where <= end]
    seen = [low, high, value, *between]
    flat = max(seen) - min(seen) <= spread / 100 * value
    warning = "" if flat else "The curve has no plateau: set the current probe farther away and repeat."
    return Fall(curve, value, flat, warning)


def fall_points(electrode: Electrode) -> list[tuple[float, float]]:
    """The whole points of an electrode's fall-of-potential test. [ft, ohm]"""
    return [
        (each.distance_ft, each.resistance_ohm)
        for each in electrode.fall_of_potential or ()
        if each.distance_ft is not None and each.resistance_ohm is not None
    ]


def measured_ohm(electrode: Electrode) -> float | None:
    """What was measured of an electrode: as surveyed, else by a test that shows its plateau. [ohm]"""
    if electrode.resistance_ohm is not None:
        return electrode.resistance_ohm
    points = fall_points(electrode)
    if not points or electrode.current_probe_ft is None:
        return None
    fall = read_fall(points, current_probe_ft=electrode.current_probe_ft)
    return fall.value_ohm if fall.plateau else None


def differs(read_ohm: float, surveyed_ohm: float | None) -> bool:
    """Whether a value of the survey is another than the test's, by more than a plateau may spread. [ohm]"""
    spread = common_table("earth_practice").cell("value", name="plateau_spread_percent").number
    return surveyed_ohm is not None and abs(read_ohm - surveyed_ohm) > spread / 100 * read_ohm


def _at(curve: Sequence[tuple[float, float]], share: float) -> float | None:
    """The reading at one share of the way, in a straight line between its neighbours; None outside the points."""
    for (x0, y0), (x1, y1) in pairwise(curve):
        if x0 <= share <= x1:
            return y0 if x1 == x0 else y0 + (y1 - y0) * (share - x0) / (x1 - x0)
    return None
