"""Appliances of a dwelling in the standard method, and vehicle chargers by edition."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from driploop.editions import Edition
from driploop.loads.inputs import Appliance, DwellingInputs
from driploop.loads.writing import sum_words, total_of
from driploop.worksheet import Assumption, WorksheetWriter, plain


@dataclass(frozen=True, slots=True)
class ApplianceLoad:
    """All appliances after the reduction for several, and the part of it that loads the neutral. [VA]"""

    va: float
    neutral_va: float


def appliance_load(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> ApplianceLoad:
    """Fastened appliances, reduced where there are enough of them; the others in full."""
    percent = edition.value("fixed_appliance_demand_percent")
    counts = _counting(edition=edition)
    eligible = sum(counts(appliance) for appliance in inputs.appliances)
    enough = eligible >= edition.number("fixed_appliance_minimum_count")
    reduced = [appliance for appliance in inputs.appliances if enough and counts(appliance)]
    in_full = [appliance for appliance in inputs.appliances if not (enough and counts(appliance))]
    share = percent.number / 100
    reduced_va = 0.0
    if reduced:
        ratings = sorted(appliance.va for appliance in reduced)
        reduced_va = sheet.number(
            f"Fastened appliances, {len(reduced)}",
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
    neutral_va = share * _line_to_neutral_va(reduced) + _line_to_neutral_va(in_full)
    return ApplianceLoad(reduced_va + full_va, neutral_va)


def _line_to_neutral_va(appliances: Iterable[Appliance]) -> float:
    return total_of(appliance.va for appliance in appliances if appliance.line_to_neutral)


def _counting(*, edition: Edition) -> Callable[[Appliance], bool]:
    """The test whether an appliance counts toward the reduction for several."""
    heaters_apart = edition.has("instantaneous_water_heater_percent")
    sized = edition.has("fixed_appliance_minimum_va")
    least_va = edition.number("fixed_appliance_minimum_va") if sized else 0.0
    least_hp = edition.number("fixed_appliance_minimum_hp") if sized else 0.0

    def counts(appliance: Appliance) -> bool:
        if not appliance.fastened or not appliance.rating_known or (appliance.instantaneous_heater and heaters_apart):
            return False
        return appliance.va >= least_va or (appliance.hp is not None and appliance.hp >= least_hp)

    return counts


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
    """Vehicle chargers: nameplate, or the edition's least value where it is the larger or the nameplate is unread;
    those that a system holds together by their set point."""
    if not inputs.evse_va and not inputs.evse_held_va:
        return 0.0
    counted = sorted(_evse_va(va, edition=edition) for va in inputs.evse_va)
    section = edition.section("evse-load") if edition.has("evse-load") else edition.section("load-continuous")
    least = f", each at least {edition.value('evse_minimum').text}" if edition.has("evse_minimum") else ""
    words = sum_words(counted) + least if counted else ""
    if inputs.evse_held_va:
        held = f"{plain(inputs.evse_held_va)} held together"
        words = f"{words}; {held}" if words else held
    total_va = total_of([*counted, inputs.evse_held_va])
    return sheet.number("Vehicle chargers", words, total_va, "VA", section, key="evse")


def _evse_va(nameplate_va: float | None, *, edition: Edition) -> float:
    if nameplate_va is None:
        return edition.number("evse_unknown_nameplate")
    least = edition.number("evse_minimum") if edition.has("evse_minimum") else 0.0
    return max(nameplate_va, least)
