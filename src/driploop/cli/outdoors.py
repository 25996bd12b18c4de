"""``driploop earth`` and ``driploop drop``: electrodes against their soil, overhead runs at their worst."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from driploop.cli.main import FINE

if TYPE_CHECKING:
    from driploop.earth import EarthSystem, SoilBand
    from driploop.service_drop import Condition, DropReading
    from driploop.worksheet import Assumption, Worksheet

NO_ELECTRODES = "The survey lists no electrode that belongs to a supply: enter what is there under [electrodes]."
NO_DROPS = "No run of this job hangs in the air, as far as the survey says."


def earth(arguments: Namespace) -> int:
    """Print the soil and every electrode system's band of resistance."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.as_data import assumption_data, worksheet_data

    plan = plan_of(arguments.job)
    reading = plan.earth
    if arguments.json:
        print_json(
            {
                "edition": plan.edition.name,
                "state": "proposed" if plan.proposed else "found",
                "soil": {**_soil(reading.soil), "worksheet": worksheet_data(reading.soil.worksheet)},
                "systems": {
                    id: {**_system(each), "worksheet": worksheet_data(each.worksheet)}
                    for id, each in reading.systems.items()
                },
                "assumptions": [assumption_data(each) for each in reading.assumptions],
            }
        )
    else:
        sheets = (reading.soil.worksheet, *(each.worksheet for each in reading.systems.values()))
        _show(sheets, reading.assumptions, empty="" if reading.systems else NO_ELECTRODES)
    return FINE


def drop(arguments: Namespace) -> int:
    """Print how every overhead run hangs, clears and pulls."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.as_data import assumption_data, worksheet_data
    from driploop.worksheet import unique

    plan = plan_of(arguments.job)
    asked = unique(each for reading in plan.drops.values() for each in reading.assumptions)
    if arguments.json:
        print_json(
            {
                "edition": plan.edition.name,
                "state": "proposed" if plan.proposed else "found",
                "runs": {
                    id: {**_drop(each), "worksheet": worksheet_data(each.worksheet)} for id, each in plan.drops.items()
                },
                "assumptions": [assumption_data(each) for each in asked],
            }
        )
    else:
        sheets = [each.worksheet for each in plan.drops.values()]
        needs = dict.fromkeys(need for each in plan.drops.values() for need in each.engineer)
        _show(sheets, asked, empty="" if plan.drops else NO_DROPS, engineer=needs)
    return FINE


def _soil(soil: SoilBand) -> dict[str, Any]:
    return {
        "basis": soil.basis,
        "layered": soil.layered,
        "low_ohm_cm": soil.low_ohm_cm,
        "middle_ohm_cm": soil.middle_ohm_cm,
        "high_ohm_cm": soil.high_ohm_cm,
    }


def _system(system: EarthSystem) -> dict[str, Any]:
    return {
        "electrodes": list(system.computed),
        "rods_in_a_ring": system.ring,
        "soil": _soil(system.soil),
        "left_out": list(system.left_out),
        "low_ohm": system.low_ohm,
        "middle_ohm": system.middle_ohm,
        "high_ohm": system.high_ohm,
        "frozen_ohm": system.frozen_ohm,
        "dry_ohm": system.dry_ohm,
        "measured_ohm": system.measured_ohm,
        "limit_ohm": system.limit_ohm,
        "chance_one_rod": system.chance_one_rod,
        "chance_two_rods": system.chance_two_rods,
        "tests": {
            id: {"curve": [list(point) for point in fall.curve], "value_ohm": fall.value_ohm,
                 "plateau": fall.plateau, "warning": fall.warning}
            for id, fall in system.falls.items()
        },
    }  # fmt: skip


def _condition(each: Condition) -> dict[str, Any]:
    return {
        "weather": each.weather.name,
        "temperature_f": each.weather.temperature_f,
        "cable": each.cable.size,
        "load_lb_per_ft": each.hang.load_lb_per_ft,
        "sag_ft": each.hang.sag_ft,
        "lowest_ft": each.lowest_ft,
        "pull_lb": each.pull_lb,
    }


def _drop(drop: DropReading) -> dict[str, Any]:
    sag, mast = drop.sag, drop.mast
    return {
        "span_ft": sag.span_ft,
        "measured": sag.measured,
        "district": sag.district,
        "conditions": [_condition(each) for each in (sag.today, *sag.conditions, sag.pull)],
        "clearances": [
            {"what": each.what, "measured_ft": each.measured_ft, "worst_ft": each.worst_ft,
             "needed_ft": each.needed.number, "section": each.needed.section, "enough": each.enough}
            for each in drop.clearances
        ],
        "attachment_needed_ft": drop.attachment_needed_ft,
        "loop_lowest_ft": drop.loop_lowest_ft,
        "head_ft": drop.head_ft,
        "tail_in": drop.tail_in,
        "mast": None if mast is None else {
            "trade_size": mast.trade_size, "lever_in": mast.lever_in, "pull_lb": mast.pull_lb,
            "bending_psi": mast.bending_psi, "allowed_psi": mast.allowed_psi,
            "longest_unguyed_in": mast.longest_unguyed_in, "lean_in": mast.lean_in, "guyed": mast.guyed,
            "bears": mast.bears, "guy_lb": mast.guy_lb, "local": list(mast.local),
        },
        "engineer": list(drop.engineer),
    }  # fmt: skip


def _show(
    sheets: Iterable[Worksheet], asked: Iterable[Assumption], *, empty: str, engineer: Iterable[str] = ()
) -> None:
    from rich.console import Console

    from driploop.cli.columns import put

    console = Console(highlight=False)
    if empty:
        put(console, empty)
    for sheet in sheets:
        if not sheet.lines:
            continue
        put(console, sheet.title, style="bold underline")
        for line in sheet.lines:
            section = f" ({line.result.section})" if line.result.section else ""
            put(console, f"{line.what}: {line.working} = {line.result.text}{section}", 2, hang=4)
        console.print()
    for need in engineer:
        put(console, f"For a structural engineer or the utility: {need}", hang=2, style="bold")
    assumptions = list(asked)
    if assumptions:
        put(console, f"Assumed on the safe side ({len(assumptions)})", style="bold underline")
    for each in assumptions:
        words = f"- {each.where}: {each.assumed}; {each.why_safe}. Would change it: {each.would_change}."
        put(console, words, 2, hang=2)
