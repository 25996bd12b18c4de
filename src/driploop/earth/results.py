"""What the earth stage answers: the soil's resistivity as a band, the resistance of each electrode system as a band."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from driploop.earth.formulas import PlacedRod
from driploop.earth.measured import Fall
from driploop.worksheet import Assumption, Worksheet


@dataclass(frozen=True, slots=True)
class SoilBand:
    """The soil's resistivity: lowest, middle and highest. [ohm-cm]

    ``basis`` says in words where it comes from; ``layered`` that readings at several spacings disagree.
    """

    low_ohm_cm: float
    middle_ohm_cm: float
    high_ohm_cm: float
    basis: str
    layered: bool
    confirmed: str
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class EarthSystem:
    """The computed resistance of one electrode system. [ohm]

    ``ring`` tells that its rods stand in a ring; ``soil`` is that of the place, narrowed by a rod that was measured.
    ``low_ohm`` to ``high_ohm`` in mild, damp soil; ``frozen_ohm`` is the high end with the ground frozen,
    ``dry_ohm`` with the upper soil dried out. All are None
    where no electrode of a kind that can be computed is there. ``measured_ohm`` is the lowest value measured on one of
    its electrodes. Chances are of meeting ``limit_ohm``, None where there is no rod.
    """

    building: str
    ring: bool
    rods: tuple[PlacedRod, ...]
    rod_ids: tuple[str, ...]
    computed: tuple[str, ...]
    left_out: tuple[str, ...]
    soil: SoilBand
    low_ohm: float | None
    middle_ohm: float | None
    high_ohm: float | None
    frozen_ohm: float | None
    dry_ohm: float | None
    measured_ohm: float | None
    limit_ohm: float
    chance_one_rod: float | None
    chance_two_rods: float | None
    falls: Mapping[str, Fall]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class EarthReading:
    """Soil and electrode systems of one installation, systems by building id."""

    soil: SoilBand
    systems: Mapping[str, EarthSystem]
    assumptions: tuple[Assumption, ...] = ()
