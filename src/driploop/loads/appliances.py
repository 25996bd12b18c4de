"""Appliances of a dwelling in the standard method, and vehicle chargers by edition."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.editions import Edition
from driploop.loads.inputs import Appliance, DwellingInputs
from driploop.loads.writing import sum_words, total_of
from driploop.worksheet import Assumption, WorksheetWriter


@dataclass(frozen=True, slots=True)
class ApplianceLoad:
    """All appliances after the reduction for several, and the part of it that loads the neutral. [VA]"""

    va: float
    neutral_va: float


def appliance_load(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> ApplianceLoad:
    """Fastened appliances, reduced where there are enough of them; the others in full."""
    counted = [appliance for appliance in inputs.appliances if _counts(appliance, edition=edition)]
    percent = edition.value("fixed_appliance_demand_percent")
    enough = len(counted) >= edition.number("fixed_appliance_minimum_count")
    in_full = [appliance for appliance in inputs.appliances if not enough or appliance not in counted]
    share = percent.number / 100
    reduced_va = 0.0
    if enough:
        ratings = sorted(appliance.va for appliance in counted)
        reduced_va = sheet.number(
            f"Fastened appliances, {len(counted)}",
            f"({sum_words(ratings)}) VA x {percent.text}",
            total_of(ratings) * share,
            "VA",
            percent.section,
            key="fixed_appliances",
            confirmed=percent.confirmed,
        )
    full_va = total_of(appliance.va for appliance in in_full)
    if full_va:
        words = sum_words(sorted(appliance.va for appliance in in_full))
        sheet.number("Appliances in full", words, full_va, "VA", percent.section, key="appliances_in_full")
    neutral_va = total_of(
        appliance.va * (share if enough and appliance in counted else 1.0)
        for appliance in inputs.appliances
        if appliance.line_to_neutral
    )
    return ApplianceLoad(reduced_va + full_va, neutral_va)


def _counts(appliance: Appliance, *, edition: Edition) -> bool:
    """Whether an appliance counts toward the reduction for several."""
    if not appliance.fastened or not appliance.rating_known:
        return False
    if appliance.instantaneous_heater and edition.has("instantaneous_water_heater_percent"):
        return False
    if not edition.has("fixed_appliance_minimum_va"):
        return True
    if appliance.va >= edition.number("fixed_appliance_minimum_va"):
        return True
    return appliance.hp is not None and appliance.hp >= edition.number("fixed_appliance_minimum_hp")


def instantaneous_heater_assumptions(inputs: DwellingInputs, *, edition: Edition) -> tuple[Assumption, ...]:
    """What is assumed of instantaneous water heaters where the edition has factors that were not seen."""
    names = [appliance.name for appliance in inputs.appliances if appliance.instantaneous_heater]
    if not names or edition.known("instantaneous_water_heater_percent"):
        return ()
    entry = edition.entry("instantaneous_water_heater_percent")
    return (
        Assumption(
            where="town.edition",
            assumed=f"{', '.join(names)}: counted in full",
            why_safe=f"the factors of {entry.section} were not seen; in full is never less",
            would_change="the printed factor, or the office's word, would lower the load",
        ),
    )


def evse_load(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """Vehicle chargers: nameplate, or the edition's least value where it is the larger or the nameplate is unread."""
    if not inputs.evse_va:
        return 0.0
    counted = sorted(_evse_va(va, edition=edition) for va in inputs.evse_va)
    section = edition.section("evse-load") if edition.has("evse-load") else edition.section("load-continuous")
    least = f", each at least {edition.value('evse_minimum').text}" if edition.has("evse_minimum") else ""
    return sheet.number("Vehicle chargers", sum_words(counted) + least, total_of(counted), "VA", section, key="evse")


def _evse_va(nameplate_va: float | None, *, edition: Edition) -> float:
    if nameplate_va is None:
        return edition.number("evse_unknown_nameplate")
    least = edition.number("evse_minimum") if edition.has("evse_minimum") else 0.0
    return max(nameplate_va, least)
