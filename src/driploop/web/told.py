"""Worksheets of results that carry none of their own: what was counted or solved, nothing reckoned anew."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from driploop.worksheet import Worksheet, WorksheetWriter

if TYPE_CHECKING:
    from driploop.loads import Headroom
    from driploop.planning import Plan
    from driploop.rules import Readings
    from driploop.voltage import OpenNeutral, Scenario


def told_sheets(readings: Readings) -> Iterator[Worksheet]:
    """Of one installation: wires of each run, trips of each device, voltages of each scenario, neutral to earth."""
    yield from _wires(readings)
    yield from _trips(readings)
    for scenario in readings.voltages.scenarios:
        yield from _voltages(readings, scenario, scenario.id)
    yield from _to_earth(readings)
    for found in readings.voltages.open_neutrals:
        yield _burning(readings, found)


def _wires(readings: Readings) -> Iterator[Worksheet]:
    for id, wires in readings.grounding.wires.items():
        writer = WorksheetWriter(f"wires/{id}", f"Wires of {readings.installation.runs[id].title}")
        writer.write("Wires needed", wires.why, wires.needed, "wires", wires.section)
        if wires.found is not None:
            writer.write("Wires there", "counted on site, or as proposed", wires.found, "wires")
        yield writer.done()


def _trips(readings: Readings) -> Iterator[Worksheet]:
    for id, check in readings.faults.trips.items():
        writer = WorksheetWriter(f"trip/{id}", f"Whether the device of {readings.installation.runs[id].title} trips")
        writer.write("Device ahead", check.device, check.device_a, "A")
        writer.number("Smallest fault at the far end", f"{check.kind}; solved in the network", check.fault_a, "A")
        writer.number(
            "Opens at once from", "generic band of this kind of device (common practice)", check.must_open_at_a, "A"
        )
        if check.minutes is not None:
            writer.number("Longest it may take by heat", "generic band (common practice)", check.minutes, "min")
        writer.write("It opens", "smallest fault against the band", check.region)
        yield writer.done()


def _voltages(readings: Readings, scenario: Scenario | OpenNeutral, id: str) -> Iterator[Worksheet]:
    solved = f"solved in the network: {scenario.title}"
    for at in scenario.at.values():
        name = readings.installation.equipment.get(at.equipment)
        writer = WorksheetWriter(
            f"voltage-at/{id}/{at.equipment}", f"Voltage at {name.title if name else at.equipment}: {scenario.title}"
        )
        for what, value, unit in (
            ("Leg A", at.leg_a_v, "V"), ("Leg B", at.leg_b_v, "V"), ("Across", at.across_v, "V"),
            ("Own runs, across", at.own_percent, "%"), ("Own runs, worse leg", at.own_leg_percent, "%"),
            ("Neutral to earth", at.neutral_to_earth_v, "V"),
        ):  # fmt: skip
            if value is not None:
                writer.number(what, solved, value, unit)
        yield writer.done()


def _to_earth(readings: Readings) -> Iterator[Worksheet]:
    for number, found in enumerate(readings.voltages.earth_voltages, start=1):
        building = readings.installation.buildings[found.building]
        writer = WorksheetWriter(f"neutral-to-earth/{number}", f"Neutral to earth at {building.title}")
        solved = f"solved in the network: {found.scenario}"
        for bound, ohm, voltage_v in (
            ("least", found.electrode_least_ohm, found.least_v), ("most", found.electrode_most_ohm, found.most_v),
        ):  # fmt: skip
            if ohm is not None:
                writer.number(f"Electrodes there, {bound}", "as read for the soil", ohm, "ohm")
            writer.number(f"Neutral to earth, {bound}", solved, voltage_v, "V")
        yield writer.done()


def _burning(readings: Readings, found: OpenNeutral) -> Worksheet:
    writer = WorksheetWriter(f"open-neutral-loads/{found.run}", f"{found.title}: what each load gets")
    for load in found.loads:
        writer.number(load.title, f"leg {load.leg}; solved in the network with the neutral open", load.voltage_v, "V")
    return writer.done()


def steps_sheet(headroom: Headroom) -> Worksheet:
    """What each wish adds to the service as found."""
    writer = WorksheetWriter("headroom-steps", "Each wish on top of the ones before it")
    for step in headroom.steps:
        writer.number(f"{step.title}: load", f"by the {headroom.method} method, this wish added", step.load_a, "A")
        writer.number(f"{step.title}: left", f"of {headroom.rating_a:g} A", step.margin_a, "A")
    return writer.done()


def clearances_sheets(plan: Plan) -> Iterator[Worksheet]:
    """How high each overhead run hangs over each thing, against what is needed."""
    for id, drop in plan.drops.items():
        title = plan.final.installation.runs[id].title
        writer = WorksheetWriter(f"clearances/{id}", f"Clearances of {title}")
        for each in drop.clearances:
            writer.number(f"Measured {each.what}", "as it hangs today", each.measured_ft, "ft")
            writer.number(f"At the worst {each.what}", "hottest or iced", each.worst_ft, "ft")
            writer.cite(f"Needed {each.what}", "in this town's edition", each.needed)
        yield writer.done()
