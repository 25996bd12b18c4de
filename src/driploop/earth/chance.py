"""How likely a rod is to read low enough, and what a second one adds at each distance."""

from __future__ import annotations

import math

from driploop.earth.formulas import in_line, rods_ohm

#: Distances at which a second rod is told, as a share of the rod's length.
SPACINGS = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0)


def chance_of(limit_ohm: float, *, ohm_per_ohm_cm: float, low_ohm_cm: float, high_ohm_cm: float) -> float:
    """Chance that electrodes read ``limit_ohm`` or less, between 0 and 1.

    Assumes that the logarithm of the resistivity is spread evenly over the range: as likely to lie between 1,000 and
    2,000 as between 10,000 and 20,000. That is an assumption of ours, not a published distribution.

    Args:
        limit_ohm: what is to be met. [ohm]
        ohm_per_ohm_cm: resistance in a soil of 1 ohm-cm.
        low_ohm_cm: lower end of the range. [ohm-cm]
        high_ohm_cm: upper end. [ohm-cm]
    """
    most = limit_ohm / ohm_per_ohm_cm
    if high_ohm_cm <= low_ohm_cm:
        return 1.0 if low_ohm_cm <= most else 0.0
    share = math.log(most / low_ohm_cm) / math.log(high_ohm_cm / low_ohm_cm)
    return min(max(share, 0.0), 1.0)


def second_rod_percent(share_of_length: float, *, length_ft: float, diameter_in: float) -> float:
    """Resistance of two rods as a percentage of one, the second ``share_of_length`` of a rod away. [%]

    Fifty would be two rods that do not know of each other.
    """
    spacing_ft = share_of_length * length_ft
    one, two = (
        rods_ohm(1.0, in_line(count, spacing_ft=spacing_ft, length_ft=length_ft, diameter_in=diameter_in))
        for count in (1, 2)
    )
    return 100 * two / one
