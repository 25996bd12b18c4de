"""What the conductor stage answers for one conductor and for every run of an installation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from driploop.installation.kinds import Metal
from driploop.worksheet import Assumption, Worksheet


@dataclass(frozen=True, slots=True)
class Ampacity:
    """Allowable current of one conductor under its conditions of use.

    ``usable_a`` is the smaller of the corrected ampacity and what the terminals allow. [A]
    """

    size: str
    metal: Metal
    insulation_c: int
    terminal_c: int
    corrected_a: float
    usable_a: float
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class ConductorChoice:
    """The smallest conductor that serves. ``basis`` says by which of the code's two ways."""

    size: str
    metal: Metal
    basis: Literal["dwelling table", "ampacity"]
    ampacity_a: float
    ocpd_a: float
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class RacewayChoice:
    """Smallest trade size that holds the conductors, and how full it is. [percent of its area]"""

    raceway: str
    trade_size: str
    fill_percent: float
    allowed_percent: float
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


RunKind = Literal["utility", "service", "feeder"]


@dataclass(frozen=True, slots=True)
class RunSizing:
    """One run of an installation: what it must carry, what it is or must be, and whether what is there will do.

    For a run that is kept, the sizes are those found (None where not known) and ``adequate`` says whether they serve;
    for a new run, the sizes are the smallest that serve and ``adequate`` is True. ``adequate`` is None where an unknown
    leaves it open. ``faults`` are plain words for each way in which a kept run falls short.
    """

    run: str
    kind: RunKind
    load_a: float | None
    ocpd_a: float | None
    line_size: str | None
    metal: Metal | None
    insulation: str | None
    sets: int
    ampacity_a: float | None
    basis: Literal["dwelling table", "ampacity", "as found", "utility"]
    neutral_size: str | None
    neutral_insulated: bool | None
    egc_size: str | None
    egc_metal: Metal | None
    wires: int | None
    raceway: RacewayChoice | None
    kept: bool
    adequate: bool | None
    faults: tuple[str, ...]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class ConductorReading:
    """Every run of an installation, by run id, and the overcurrent device each piece of equipment needs."""

    runs: Mapping[str, RunSizing]
    assumptions: tuple[Assumption, ...] = ()
