"""The optional calculation of a multifamily dwelling: connected load times a factor by the number of units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain

from driploop.editions import Edition, NotInEdition
from driploop.loads.heating import blowers_va, cooling_va, heating_va
from driploop.loads.inputs import DwellingInputs, OtherLoad, together
from driploop.loads.optional import general_load
from driploop.loads.results import LoadResult, Permission
from driploop.loads.standard import continuous_va, other_line
from driploop.loads.writing import finish, refused, sheet_for, total_of
from driploop.worksheet import WorksheetWriter, plain

TITLE = "Multifamily dwelling, optional load"


def multifamily(
    units: Sequence[DwellingInputs],
    *,
    edition: Edition,
    house: Sequence[OtherLoad] = (),
    where: str = "multifamily",
) -> LoadResult:
    """Load of three or more dwelling units on one service or feeder.

    Args:
        units: the dwelling units.
        edition: the code edition to ask.
        house: loads shared by all units, by the standard method, added in full.
        where: names the worksheet.

    Returns:
        The load, or a refusal in words where the edition's factors are not known or there are too few units.

    Source:
        NEC 2020: 220.84.
    """
    section = edition.entry("multifamily-load").section
    assumptions = tuple(chain.from_iterable(unit.assumptions for unit in units))
    least = edition.number("multifamily_minimum_units")
    if len(units) < least:
        why = f"needs {plain(least)} dwelling units or more; there are {len(units)}"
        return refused("multifamily", TITLE, where=where, section=section, why=why, assumptions=assumptions)
    sheet = sheet_for("multifamily", TITLE, where=where)
    try:
        demand_va = units_demand(units, sheet=sheet, edition=edition)
    except NotInEdition as fault:
        return refused("multifamily", TITLE, where=where, section=section, why=str(fault), assumptions=assumptions)
    whole = together(units, other=house)
    permitted, why = units_permission(units)
    return finish(
        sheet,
        method="multifamily",
        section=section,
        parts=[demand_va, other_line(whole, sheet=sheet)],
        volts=whole.volts,
        continuous_va=continuous_va(whole) + total_of([*(va or 0.0 for va in whole.evse_va), whole.evse_held_va]),
        edition=edition,
        assumptions=assumptions,
        permitted=permitted,
        why=why,
    )


def units_permission(units: Sequence[DwellingInputs]) -> tuple[Permission, str]:
    """Whether these units meet the method's conditions, and why."""
    without_climate = [unit.name for unit in units if not unit.heat_or_cooling]
    if without_climate:
        return "no", f"no electric heat or cooling in: {', '.join(without_climate)}"
    without_cooking = [unit.name for unit in units if not unit.cooking]
    if without_cooking:
        return "ask", f"no electric cooking in: {', '.join(without_cooking)}; the assumed load stands for it"
    return "yes", "each unit has electric cooking and electric heat or cooling, and no more than one feeder"


def units_demand(units: Sequence[DwellingInputs], *, sheet: WorksheetWriter, edition: Edition) -> float:
    """Connected load of the units times the factor for their number. [VA] Raises NotInEdition."""
    table = edition.table("multifamily_demand")
    percent = table.cite(table.within("units_from", "units_to", len(units)), "percent")
    connected_va = connected_load(units, sheet=sheet, edition=edition)
    return sheet.number(
        f"Demand of {len(units)} units",
        f"{plain(connected_va)} VA x {percent.text}",
        connected_va * percent.number / 100,
        "VA",
        percent.section,
        key="units_demand",
        confirmed=percent.confirmed,
    )


def connected_load(units: Sequence[DwellingInputs], *, sheet: WorksheetWriter, edition: Edition) -> float:
    """Nameplates of all units, cooking assumed where a unit has none, the larger of heating and cooling. [VA]"""
    whole = together(units)
    # Blowers belong to heating and cooling here, so they are left out of the general load.
    section = edition.section("multifamily-load")
    general_va, _ = general_load(_without_blowers(whole), section=section, sheet=sheet, edition=edition)
    parts = [general_va]
    cooking = edition.value("multifamily_cooking_kw")
    missing = sum(not unit.cooking for unit in units)
    if missing:
        parts.append(
            sheet.number(
                "Cooking assumed where there is none",
                f"{missing} x {cooking.text}",
                missing * cooking.number * 1000,
                "VA",
                cooking.section,
                key="assumed_cooking",
                confirmed=cooking.confirmed,
            )
        )
    heating = total_of(heating_va(unit) for unit in units)
    cooling = total_of(cooling_va(unit) for unit in units)
    larger = total_of(max(heating_va(unit), cooling_va(unit)) for unit in units)
    working = f"heating {plain(heating)}, cooling {plain(cooling)}"
    parts.append(
        sheet.number("Larger of heating and cooling, unit by unit", working, larger, "VA", section, key="hvac")
    )
    total = total_of(parts)
    return sheet.number(
        "Connected load", " + ".join(plain(part) for part in parts), total, "VA", section, key="connected"
    )


def _without_blowers(inputs: DwellingInputs) -> DwellingInputs:
    if not blowers_va(inputs):
        return inputs
    return replace(inputs, heating=tuple(unit for unit in inputs.heating if unit.kind != "blower"))
