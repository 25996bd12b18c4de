"""The existing dwelling: old and new load together, climate apart only where heating or cooling is being added."""

from __future__ import annotations

from driploop.editions import Edition
from driploop.loads.heating import cooling_va, heat_pump_heating_va
from driploop.loads.inputs import DwellingInputs, HeatUnit
from driploop.loads.optional import general_load, tiers
from driploop.loads.results import LoadResult, Permission
from driploop.loads.standard import continuous_va, other_line
from driploop.loads.writing import finish, refused, sheet_for, total_of
from driploop.worksheet import WorksheetWriter, plain

TITLE = "Existing dwelling"


def existing_dwelling(
    inputs: DwellingInputs, *, edition: Edition, equipment_is_new: bool = False, where: str = "dwelling"
) -> LoadResult:
    """Load of an existing dwelling with what is added to it.

    ``inputs.hvac_added`` chooses between the parts: without added heating or cooling the first tier is of all load;
    with it, the larger of heating and cooling stands apart in full.

    Args:
        inputs: old and new load together.
        edition: the code edition to ask.
        equipment_is_new: the service or feeder asked about is itself new; the method speaks of an existing one.
        where: names the worksheet.

    Returns:
        The load, or a refusal in words for an edition whose factors are not known.

    Source:
        NEC 2020: 220.83.
    """
    title = f"{TITLE}, {inputs.name}"
    section = edition.entry("existing-dwelling-load").section
    if not edition.known("existing-dwelling-load"):
        why = f"{edition.name}: {edition.entry('existing-dwelling-load').note}"
        return refused("existing", title, where=where, section=section, why=why, assumptions=inputs.assumptions)
    sheet = sheet_for("existing", title, where=where)
    general_va, evse_va = general_load(inputs, section=section, sheet=sheet, edition=edition)
    others, apart_va = _climate(inputs, sheet=sheet, edition=edition)
    stepped_va = tiers(
        general_va + others,
        first=edition.value("existing_first_tier"),
        rest=edition.value("existing_remainder_percent"),
        sheet=sheet,
    )
    permitted, why = existing_permission(equipment_is_new, inputs=inputs)
    whole = general_va + others
    return finish(
        sheet,
        method="existing",
        section=section,
        parts=[stepped_va, apart_va, other_line(inputs, sheet=sheet)],
        volts=inputs.volts,
        continuous_va=evse_va * (stepped_va / whole if whole else 1.0) + continuous_va(inputs),
        edition=edition,
        assumptions=inputs.assumptions,
        permitted=permitted,
        why=why,
    )


def existing_permission(equipment_is_new: bool, *, inputs: DwellingInputs) -> tuple[Permission, str]:
    """Whether the method may be used for this service or feeder, and why."""
    part = "with heating or cooling added" if inputs.hvac_added else "no heating or cooling added"
    if equipment_is_new:
        return "ask", f"existing dwelling, {part}; meant to show that an existing service is enough: ask for a new one"
    return "yes", f"existing dwelling and service, {part}"


def _climate(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> tuple[float, float]:
    """What of heating and cooling joins the other load, and what stands apart in full. [VA]"""
    section = edition.section("existing-dwelling-load")
    electric = [unit for unit in inputs.heating if unit.kind != "blower"]
    heat_va = total_of([*(u.va for u in electric), *(heat_pump_heating_va(pump) for pump in inputs.heat_pumps)])
    # Blowers stand in the general load here: not counted a second time with cooling.
    cool_va = total_of([*(u.va for u in inputs.cooling), *(pump.compressor_va for pump in inputs.heat_pumps)])
    if not cooling_va(inputs) and not heat_va:
        return 0.0, 0.0
    if not inputs.hvac_added:
        larger = max(heat_va, cool_va)
        working = f"heating {plain(heat_va)}, cooling {plain(cool_va)}"
        return sheet.number("Larger of heating and cooling", working, larger, "VA", section, key="climate"), 0.0
    resistance = [unit for unit in electric if unit.kind == "resistance"]
    spread_va = total_of(unit.va for unit in resistance) if _many_units(resistance, edition=edition) else 0.0
    if spread_va:
        what = "Heating of four or more separately controlled units, with the other load"
        sheet.number(what, "nameplates", spread_va, "VA", section, key="spread_heating")
    percent = edition.value("existing_hvac_percent")
    larger = max(heat_va - spread_va, cool_va)
    apart_va = sheet.number(
        "Larger of heating and cooling, apart",
        f"heating {plain(heat_va - spread_va)}, cooling {plain(cool_va)}; {plain(larger)} VA x {percent.text}",
        larger * percent.number / 100,
        "VA",
        percent.section,
        key="climate",
        confirmed=percent.confirmed,
    )
    return spread_va, apart_va


def _many_units(resistance: list[HeatUnit], *, edition: Edition) -> bool:
    return sum(unit.controls for unit in resistance) >= edition.number("separate_heating_units")
