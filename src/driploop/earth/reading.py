"""The earth stage's reading of one installation: every electrode system against its soil."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

from driploop.earth.bands import soil_at
from driploop.earth.bodies import Body, Gathered, gathered, practice
from driploop.earth.chance import chance_of, second_rod_percent
from driploop.earth.formulas import PlacedRod, apart_ft, in_line, rods_ohm
from driploop.earth.measured import Fall, fall_points, measured_ohm, read_fall
from driploop.earth.results import EarthReading, EarthSystem, SoilBand
from driploop.earth.soil import read_soil
from driploop.editions import Edition, common_table
from driploop.grounding.results import ElectrodeSystem, GroundingReading
from driploop.installation import Graph
from driploop.installation.model import Electrode, Soil
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter, unique


def read_earth(graph: Graph, grounding: GroundingReading, *, edition: Edition) -> EarthReading:
    """The resistance to earth of every electrode system, as a band.

    Args:
        graph: the installation.
        grounding: its electrode systems.
        edition: the code edition to ask: the limit of a single rod, least measures.

    Returns:
        The soil, the systems that have electrodes, what was assumed.
    """
    soil = read_soil(graph.installation.soil)
    systems = {
        place: _system(graph, system, soil, edition) for place, system in grounding.systems.items() if system.electrodes
    }
    asked = (*soil.assumptions, *(each for system in systems.values() for each in system.assumptions))
    return EarthReading(soil, MappingProxyType(systems), unique(asked))


def _system(graph: Graph, system: ElectrodeSystem, soil: SoilBand, edition: Edition) -> EarthSystem:
    electrodes = [graph.installation.electrodes[id] for id in system.electrodes]
    building = graph.installation.buildings.get(system.building)
    standing = gathered(electrodes, building, edition=edition)
    soil = soil_at(electrodes, standing, soil)
    title = building.title if building is not None else system.building
    writer = WorksheetWriter(f"earth/{system.building}", f"Resistance to earth, {title}")
    limit = edition.value("rod_resistance")
    joined = [each for each in electrodes if each.connected is not False]
    bare = EarthSystem(
        building=system.building,
        ring=building is not None and building.rods_stand_in == "ring" and len(standing.rods) > 2,
        rods=standing.rods,
        rod_ids=standing.rod_ids,
        computed=standing.computed,
        left_out=tuple(each.id for each in electrodes if each.id not in standing.computed),
        soil=soil,
        low_ohm=None,
        middle_ohm=None,
        high_ohm=None,
        frozen_ohm=None,
        dry_ohm=None,
        measured_ohm=min((ohm for e in joined if (ohm := measured_ohm(e)) is not None), default=None),
        limit_ohm=limit.number,
        chance_one_rod=None,
        chance_two_rods=None,
        falls=MappingProxyType(_falls(electrodes)),
        worksheet=Worksheet(writer.id, writer.title),
        assumptions=unique(standing.assumptions),
    )
    if not standing.computed:
        return _with_tests(bare, writer)
    return _computed(bare, standing, graph.installation.soil, writer, edition)


def _computed(
    bare: EarthSystem, standing: Gathered, described: Soil, writer: WorksheetWriter, edition: Edition
) -> EarthSystem:
    soil, bodies = bare.soil, standing.bodies
    writer.lines += [line for line in soil.worksheet.lines if line.key.startswith("by-")]
    for what, rho, key in (
        ("Soil, low end", soil.low_ohm_cm, "soil-low"),
        ("Soil, middle", soil.middle_ohm_cm, "soil-middle"),
        ("Soil, high end", soil.high_ohm_cm, "soil-high"),
    ):
        writer.number(what, soil.basis, round(rho), "ohm-cm", key=key, confirmed=soil.confirmed)
    low = _joined(bare.rods, bodies, soil.low_ohm_cm, writer, "low", lowest=True)
    middle = _joined(bare.rods, bodies, soil.middle_ohm_cm, writer, "middle", lowest=False)
    high = _joined(bare.rods, bodies, soil.high_ohm_cm, writer, "high", lowest=False)
    frost_in, asked = _frost(described)
    frozen = _frozen(bare.rods, bodies, soil.high_ohm_cm, frost_in, writer)
    read = replace(
        bare,
        low_ohm=low,
        middle_ohm=middle,
        high_ohm=high,
        frozen_ohm=frozen,
        dry_ohm=_dried(bare.rods, bodies, soil.high_ohm_cm, writer),
        assumptions=unique((*bare.assumptions, *asked)),
    )
    return _with_tests(_chances(read, soil, writer, edition) if bare.rods else read, writer)


def _joined(
    rods: tuple[PlacedRod, ...], bodies: Sequence[Body], rho: float, writer: WorksheetWriter, end: str, *, lowest: bool
) -> float:
    """Electrodes together. Their mutual effect is known among rods only: the low end leaves it out between groups,
    middle and high count the best group alone."""
    values: list[tuple[str, float]] = []
    if rods:
        values.append((rods_words(rods), rods_ohm(rho, rods)))
    values += [(body.what, (body.low if lowest else body.high)(rho)) for body in bodies]
    for number, (what, ohm) in enumerate(values):
        title = f"{what[:1].upper()}{what[1:]}"
        writer.number(title, f"at {rho:,.0f} ohm-cm", _ohms(ohm), "ohm", key=f"{end}-part-{number}")
    together = 1 / sum(1 / ohm for _, ohm in values) if lowest else min(ohm for _, ohm in values)
    how = "as if apart from each other" if lowest else "the best of them alone"
    working = how if len(values) > 1 else "as above"
    return writer.number(f"Together, {end}", working, _ohms(together), "ohm", key=end)


def rods_words(rods: Sequence[PlacedRod]) -> str:
    """Rods in words: how many, of what size, how far apart."""
    first = rods[0]
    size = f"{first.length_ft:g} ft, {first.diameter_in:g} in"
    if len(rods) == 1:
        return f"one rod, {size}"
    apart = [f"{round(apart_ft(a, b), 2):g}" for a, b in pairwise(rods)]
    how = (
        f"{apart[0]} ft apart in a ring" if any(rod.y_ft for rod in rods) else f"{' and '.join(apart)} ft apart in line"
    )
    return f"{len(rods)} rods, {size}, {how}, mutual effect counted"


def _ohms(ohm: float) -> float:
    return float(f"{ohm:.3g}")


def _frost(soil: Soil) -> tuple[float, tuple[Assumption, ...]]:
    if soil.frost_depth_in is not None:
        return soil.frost_depth_in, ()
    depth = practice("frost_depth_in")
    asked = Assumption(
        "soil.frost_depth_in",
        f"{depth:g} in",
        "deep for most places; the deeper the frost, the higher the reading in winter",
        "the depth the building department gives for footings",
    )
    return depth, (asked,)


def _frozen(
    rods: tuple[PlacedRod, ...], bodies: Sequence[Body], rho: float, frost_in: float, writer: WorksheetWriter
) -> float:
    """The high end with the upper soil frozen."""
    table = common_table("soil_temperature")
    frozen, mild = (table.cell("resistivity_ohm_cm", state=state) for state in ("frozen", "mild"))
    factor = writer.number(
        "Frozen soil reads higher by", f"{frozen.number:,.0f} / {mild.number:,.0f} ohm-cm", frozen.number / mild.number,
        key="frost-factor", confirmed=frozen.confirmed,
    )  # fmt: skip
    ohm = _in_season(rods, bodies, rho, depth_in=frost_in, factor=factor)
    working = f"frost {frost_in:g} in deep; length below it, and 1/{factor:.1f} of the length in it"
    return writer.number("Together, high, ground frozen", working, _ohms(ohm), "ohm", key="frozen")


def _dried(rods: tuple[PlacedRod, ...], bodies: Sequence[Body], rho: float, writer: WorksheetWriter) -> float:
    """The high end with the upper soil dried out."""
    table, depth_in = common_table("soil_moisture"), practice("dry_depth_in")
    percents = [practice("dry_moisture_percent"), practice("damp_moisture_percent")]
    dry, damp = (table.cell("sandy_loam_ohm_cm", moisture_percent=percent) for percent in percents)
    factor = writer.number(
        "Dry soil reads higher by", f"{dry.number:,.0f} / {damp.number:,.0f} ohm-cm", dry.number / damp.number,
        key="dry-factor", confirmed=dry.confirmed,
    )  # fmt: skip
    ohm = _in_season(rods, bodies, rho, depth_in=depth_in, factor=factor)
    working = f"dry {depth_in:g} in deep; length below it, and 1/{factor:.1f} of the length in it"
    return writer.number("Together, high, dry summer", working, _ohms(ohm), "ohm", key="dry")


def _in_season(
    rods: tuple[PlacedRod, ...], bodies: Sequence[Body], rho: float, *, depth_in: float, factor: float
) -> float:
    """Electrodes under an upper soil that reads ``factor`` times higher: a rod works by its length below it and a
    little of what is in it; anything else is taken as wholly in it."""
    values = [body.high(rho * factor) for body in bodies] if depth_in > 0 else [body.high(rho) for body in bodies]
    if rods:
        values.append(rods_ohm(rho, rods) * max(_lengthened(rod, depth_in, factor) for rod in rods))
    return min(values)


def _lengthened(rod: PlacedRod, depth_in: float, factor: float) -> float:
    within = min(depth_in / 12, rod.length_ft)
    return rod.length_ft / (rod.length_ft - within + within / factor)


def _chances(read: EarthSystem, soil: SoilBand, writer: WorksheetWriter, edition: Edition) -> EarthSystem:
    rod = read.rods[0]
    spacing = edition.number("rod_spacing_ft")
    limit = edition.value("rod_resistance")
    if len(read.rods) > 1:
        spacing = max(min(apart_ft(a, b) for a, b in pairwise(read.rods)), 2 * rod.diameter_in / 12)
    chances = []
    for count in (1, 2):
        layout = in_line(count, spacing_ft=spacing, length_ft=rod.length_ft, diameter_in=rod.diameter_in)
        per = rods_ohm(1.0, layout)
        chance = chance_of(limit.number, ohm_per_ohm_cm=per, low_ohm_cm=soil.low_ohm_cm, high_ohm_cm=soil.high_ohm_cm)
        words = "one rod" if count == 1 else f"two rods {spacing:g} ft apart"
        working = f"needs {limit.number / per:,.0f} ohm-cm or less; log of the resistivity taken as evenly spread"
        writer.number(f"Chance of {limit.text} with {words}", working, round(100 * chance), "%", limit.section,
                      key=f"chance-{count}")  # fmt: skip
        chances.append(chance)
    for share in (0.5, 1.0, 2.0):
        percent = second_rod_percent(share, length_ft=rod.length_ft, diameter_in=rod.diameter_in)
        working = "of one rod alone; 50 % would be two rods without mutual effect"
        what = f"Two rods, {share * rod.length_ft:g} ft apart"
        writer.number(what, working, round(percent, 1), "%", key=f"second-{share:g}")
    return replace(read, chance_one_rod=chances[0], chance_two_rods=chances[1])


def _falls(electrodes: list[Electrode]) -> dict[str, Fall]:
    return {
        each.id: read_fall(points, current_probe_ft=each.current_probe_ft)
        for each in electrodes
        if each.current_probe_ft is not None and (points := fall_points(each))
    }


def _with_tests(read: EarthSystem, writer: WorksheetWriter) -> EarthSystem:
    for id, fall in read.falls.items():
        points = ", ".join(f"{share:.0%} {ohm:g}" for share, ohm in fall.curve)
        if fall.value_ohm is not None:
            writer.number(f"Measured at {id}, at 62 %", points, _ohms(fall.value_ohm), "ohm", key=f"fall-{id}")
        if fall.warning:
            writer.write(f"Test at {id}", fall.warning, "not proven", key=f"warning-{id}")
    if read.measured_ohm is not None:
        writer.number("Measured, as surveyed", "one electrode, in its season", read.measured_ohm, "ohm", key="measured")
    return replace(read, worksheet=writer.done())
