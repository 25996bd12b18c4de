"""The least and the most that each electrode may read, for whoever reckons with currents through the earth."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from driploop.earth.bodies import Gathered, gathered, practice
from driploop.earth.formulas import rod_ohm, rods_ohm
from driploop.earth.measured import measured_ohm
from driploop.earth.results import SoilBand
from driploop.earth.soil import read_soil
from driploop.editions import Edition
from driploop.installation import Graph
from driploop.installation.model import Electrode
from driploop.worksheet import WorksheetWriter


@dataclass(frozen=True, slots=True)
class ElectrodeBand:
    """The least and the most of one electrode while all of its place carry together. [ohm]

    Both are one where it was measured. ``basis`` says in words where they come from.
    """

    least_ohm: float
    most_ohm: float
    basis: str


def electrode_bands(graph: Graph, *, edition: Edition) -> Mapping[str, ElectrodeBand]:
    """Every electrode that was measured or can be computed, by id; one that nothing joins is left out."""
    soil = read_soil(graph.installation.soil)
    by_place: dict[str | None, list[Electrode]] = {}
    for electrode in graph.installation.electrodes.values():
        by_place.setdefault(electrode.building, []).append(electrode)
    found: dict[str, ElectrodeBand] = {}
    for place, electrodes in by_place.items():
        standing = gathered(electrodes, graph.installation.buildings.get(place or ""), edition=edition)
        found |= place_bands(electrodes, standing, soil_at(electrodes, standing, soil))
    return found


def place_bands(electrodes: Sequence[Electrode], standing: Gathered, soil: SoilBand) -> dict[str, ElectrodeBand]:
    """The bands of one place. Those computed read together, side by side, what the place reads as a whole."""
    low = dict(_alone(standing, soil.low_ohm_cm, lowest=True))
    high = dict(_alone(standing, soil.high_ohm_cm, lowest=False))
    rods = [low[id] for id in standing.rod_ids]
    crowded = rods_ohm(soil.low_ohm_cm, standing.rods) * sum(1 / ohm for ohm in rods) if rods else 1.0
    together = min(parts) if (parts := list(parts_ohm(standing, soil.high_ohm_cm, lowest=False))) else 0.0
    shared = together * sum(1 / ohm for ohm in high.values())
    bands: dict[str, ElectrodeBand] = {}
    for id, alone in low.items():
        least = alone * (crowded if id in standing.rod_ids else 1.0)
        bands[id] = ElectrodeBand(least, max(least, high[id] * shared), soil.basis)
    for electrode in electrodes:
        ohm = measured_ohm(electrode) if electrode.connected is not False else None
        if ohm is not None:
            bands[electrode.id] = ElectrodeBand(ohm, ohm, "measured")
    return bands


def parts_ohm(standing: Gathered, resistivity_ohm_cm: float, *, lowest: bool) -> Iterable[float]:
    """What the rods read together, and each other electrode by itself. [ohm]"""
    if standing.rods:
        yield rods_ohm(resistivity_ohm_cm, standing.rods)
    for body in standing.bodies:
        yield (body.low if lowest else body.high)(resistivity_ohm_cm)


def _alone(standing: Gathered, resistivity_ohm_cm: float, *, lowest: bool) -> Iterable[tuple[str, float]]:
    for id, rod in zip(standing.rod_ids, standing.rods, strict=True):
        yield id, rod_ohm(resistivity_ohm_cm, length_ft=rod.length_ft, diameter_in=rod.diameter_in)
    for body in standing.bodies:
        yield body.electrode, (body.low if lowest else body.high)(resistivity_ohm_cm)


def soil_at(electrodes: Sequence[Electrode], standing: Gathered, soil: SoilBand) -> SoilBand:
    """The soil of one place: a rod measured there tells of the earth that the others stand in.

    The soil within a place may be so many times better or worse as ``earth_practice`` tells. Where the rod contradicts
    what the soil was said to be, the rod is believed.
    """
    read: dict[str, float] = {}
    for id, rod in zip(standing.rod_ids, standing.rods, strict=True):
        electrode = next(each for each in electrodes if each.id == id)
        ohm = measured_ohm(electrode)
        if ohm:
            read[electrode.title] = ohm / rod_ohm(1.0, length_ft=rod.length_ft, diameter_in=rod.diameter_in)
    if not read:
        return soil
    factor = practice("soil_within_a_place_factor")
    least, most = min(read.values()) / factor, max(read.values()) * factor
    low, high = max(soil.low_ohm_cm, least), min(soil.high_ohm_cm, most)
    if low > high:
        low, high = least, most
    middle = math.exp(sum(math.log(value) for value in read.values()) / len(read))
    rods = ", ".join(read)
    sheet = WorksheetWriter(soil.worksheet.id, soil.worksheet.title)
    for number, (title, value) in enumerate(read.items(), start=1):
        working = "what it read over what it would read in 1 ohm-cm"
        sheet.number(f"Soil by {title}, measured", working, round(value), "ohm-cm", key=f"by-{number}")
    return replace(
        soil,
        low_ohm_cm=low,
        middle_ohm_cm=min(max(middle, low), high),
        high_ohm_cm=high,
        basis=f"{soil.basis}, narrowed by what {rods} read",
        worksheet=sheet.done(),
    )
