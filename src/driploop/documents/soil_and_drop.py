"""Schedules of what is computed outdoors: electrodes against their soil, overhead runs at their worst."""

from __future__ import annotations

from driploop.documents.schedules import Cite
from driploop.documents.tables import TableData, stated, table
from driploop.documents.text import NOTHING
from driploop.earth import EarthSystem
from driploop.planning import Plan
from driploop.service_drop import Clearance, DropReading
from driploop.worksheet import plain


def earth_table(plan: Plan, cite: Cite) -> TableData:
    """The computed resistance of every electrode system, with the soil it was computed for."""
    soil = plan.earth.soil

    def row(system: EarthSystem) -> tuple[str, ...]:
        building = plan.final.installation.buildings.get(system.building)
        place = building.title if building is not None else system.building
        return (
            place, f"{ohms(system.low_ohm)} to {ohms(system.high_ohm)}", ohms(system.middle_ohm),
            ohms(system.frozen_ohm), ohms(system.dry_ohm), stated(system.measured_ohm), percent(system.chance_one_rod),
            percent(system.chance_two_rods), f"{cite(soil.worksheet)}; {cite(system.worksheet, place=place)}",
        )  # fmt: skip

    layered = " Readings differ with depth: layered soil." if soil.layered else ""
    measured = any(system.soil is not soil for system in plan.earth.systems.values())
    narrowed = " A rod that was measured narrows the soil of its place." if measured else ""
    return table(
        "Resistance to earth, computed",
        ["Place", ("Band, ohm", True), ("Middle, ohm", True), ("Frozen, ohm", True), ("Dry, ohm", True),
         ("Measured, ohm", True), ("One rod", True), ("Two rods", True), "Sheet"],
        [system for system in plan.earth.systems.values() if system.low_ohm is not None],
        row,
        note=f"Soil: {soil.basis}.{layered}{narrowed} One rod, two rods: chance of the limit for a single rod, the "
        "logarithm of the resistivity taken as evenly spread over its range.",
    )  # fmt: skip


def drop_table(plan: Plan, cite: Cite) -> TableData:
    """Every overhead run at its worst: lowest point, height needed, pull."""

    def row(drop: DropReading) -> tuple[str, ...]:
        sag, over = drop.sag, drop.clearances[0]
        title = plan.final.installation.runs[drop.run].title
        stands = {True: "clears", False: "too low", None: "sag assumed: measure"}[over.enough]
        needed = f"{drop.attachment_needed_ft:.1f} ft" if drop.attachment_needed_ft else NOTHING
        return (
            title, f"{sag.span_ft:g} ft", f"{sag.today.lowest_ft:.1f} ft",
            f"{sag.worst.lowest_ft:.1f} ft, {sag.worst.weather.name}", over.needed.text, stands, needed,
            f"{sag.pull.pull_lb:,.0f} lb", cite(drop.worksheet, place=title),
        )  # fmt: skip

    return table(
        "Overhead runs at their worst",
        ["Run", ("Span", True), ("Lowest as it hangs", True), "At the worst", ("Needed", True), "Standing",
         ("Attachment needed", True), ("Largest pull", True), "Sheet"],
        plan.drops.values(),
        row,
        note="Hot without wind, or with the district's ice. The pull is with ice and wind together.",
    )  # fmt: skip


def clearance_table(plan: Plan) -> TableData:
    """Everything that every overhead run passes: ground, roof, windows, at its worst, against the edition."""
    runs = plan.final.installation.runs

    def row(each: tuple[DropReading, Clearance]) -> tuple[str, ...]:
        drop, clears = each
        stands = {True: "clears", False: "too near", None: "sag assumed: measure"}[clears.enough]
        return (
            runs[drop.run].title, clears.what, f"{clears.measured_ft:.1f} ft", f"{clears.worst_ft:.1f} ft",
            clears.needed.text, stands, clears.needed.section,
        )  # fmt: skip

    return table(
        "What overhead runs clear at their worst",
        ["Run", "Over or from", ("As it hangs", True), ("At the worst", True), ("Needed", True), "Standing", "Section"],
        [(drop, each) for drop in plan.drops.values() for each in drop.clearances],
        row,
        note="What was not measured of roofs and windows is not shown: it is asked for in the walk.",
    )


def ohms(ohm: float | None) -> str:
    """A resistance in two figures; a dash where there is none."""
    return NOTHING if ohm is None else plain(float(f"{ohm:.2g}"))


def percent(chance: float | None) -> str:
    """A chance in whole percent; a dash where there is none."""
    return NOTHING if chance is None else f"{100 * chance:.0f} %"
