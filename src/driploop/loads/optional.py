"""The optional calculation of a dwelling: a first tier in full, the rest reduced, one of six cases of climate."""

from __future__ import annotations

from itertools import chain

from driploop.editions import Edition
from driploop.loads.appliances import evse_load, instantaneous_heater_assumptions
from driploop.loads.heating import blowers_va, largest_of_six
from driploop.loads.inputs import DwellingInputs
from driploop.loads.lighting import connected_lighting
from driploop.loads.results import LoadResult, Permission
from driploop.loads.standard import continuous_va, other_line
from driploop.loads.writing import finish, nameplate_lines, sheet_for, sum_words, total_of
from driploop.worksheet import Assumption, Cited, WorksheetWriter, plain


def optional_dwelling(
    inputs: DwellingInputs, *, edition: Edition, rating_a: float | None = None, where: str = "dwelling"
) -> LoadResult:
    """Load of one dwelling by the optional method.

    Nameplates only: no reduction for several appliances, no cooking table, no addition for the largest motor.
    Loads of other buildings on the same supply are added in full.

    Args:
        inputs: what the dwelling holds.
        edition: the code edition to ask.
        rating_a: rating of the service or feeder; None where not known, which leaves the permission open. [A]
        where: names the worksheet.

    Source:
        NEC 2020: 220.82.
    """
    sheet = sheet_for("optional", f"Optional load, {inputs.name}", where=where)
    section = edition.section("dwelling-optional-load")
    general_va, evse_va = general_load(inputs, section=section, sheet=sheet, edition=edition)
    apart = edition.has("evse_optional_percent")
    stepped_va = tiers(
        general_va - (evse_va if apart else 0.0),
        first=edition.value("optional_first_tier"),
        rest=edition.value("optional_remainder_percent"),
        sheet=sheet,
    )
    parts = [stepped_va]
    if apart and evse_va:
        apart_section = edition.entry("evse_optional_percent").section
        parts.append(sheet.number("Vehicle chargers apart", "in full", evse_va, "VA", apart_section, key="evse_apart"))
    parts += [largest_of_six(inputs, sheet=sheet, edition=edition), other_line(inputs, sheet=sheet)]
    permitted, why = optional_permission(rating_a, edition=edition)
    step = stepped_va / general_va if general_va and not apart else 1.0
    return finish(
        sheet,
        method="optional",
        section=section,
        parts=parts,
        volts=inputs.volts,
        continuous_va=evse_va * step + continuous_va(inputs),
        edition=edition,
        assumptions=chain(inputs.assumptions, _assumptions(inputs, edition=edition)),
        permitted=permitted,
        why=why,
    )


def optional_permission(rating_a: float | None, *, edition: Edition) -> tuple[Permission, str]:
    """Whether a service or feeder of this rating may use the optional method, and why."""
    least = edition.value("optional_minimum_rating")
    if rating_a is None:
        return "ask", f"needs a service or feeder of {least.text} or more; its rating is not known"
    if rating_a < least.number:
        return "no", f"needs a service or feeder of {least.text} or more; this one is {plain(rating_a)} A"
    return "yes", f"one dwelling on one service or feeder of {plain(rating_a)} A, at least {least.text}"


def _assumptions(inputs: DwellingInputs, *, edition: Edition) -> tuple[Assumption, ...]:
    heaters = instantaneous_heater_assumptions(inputs, edition=edition)
    chargers = inputs.evse_va or inputs.evse_held_va
    if not chargers or edition.known("evse_optional_percent"):
        return heaters
    section = edition.entry("evse_optional_percent").section
    return (
        *heaters,
        Assumption(
            where="town.edition",
            assumed="vehicle chargers count in full, apart from the general load",
            why_safe=f"what {section} says was not seen; in full is never less",
            would_change="the printed text, or the office's word, may let the general load's step apply",
        ),
    )


def general_load(
    inputs: DwellingInputs, *, section: str, sheet: WorksheetWriter, edition: Edition
) -> tuple[float, float]:
    """The general load by nameplates, before any step, vehicle chargers in it; and the chargers alone. [VA]

    ``section`` is that of the method which asks.
    """
    nameplate_lines(inputs, sheet=sheet)
    lighting_va = connected_lighting(inputs, sheet=sheet, edition=edition)
    evse_va = evse_load(inputs, sheet=sheet, edition=edition)
    groups = (
        ("Appliances", "appliances", [appliance.va for appliance in inputs.appliances]),
        ("Cooking, nameplate", "cooking", [unit.kw * 1000 for unit in inputs.cooking]),
        ("Dryers, nameplate", "dryers", list(inputs.dryers_va)),
        ("Motors", "motors", [motor.va for motor in inputs.motors]),
        ("Furnace blowers", "blowers", blowers_va(inputs)),
    )
    parts = [lighting_va, evse_va]
    for what, key, loads in groups:
        if loads:
            va = total_of(loads)
            parts.append(sheet.number(what, sum_words(sorted(loads)), va, "VA", section, key=key))
    total = total_of(parts)
    return sheet.number("General load", sum_words(parts), total, "VA", section, key="general"), evse_va


def tiers(load_va: float, *, first: Cited, rest: Cited, sheet: WorksheetWriter) -> float:
    """A load with its first tier in full and the rest at a percent. [VA]"""
    below, above = min(load_va, first.number), max(load_va - first.number, 0.0)
    return sheet.number(
        f"First {first.text} in full, the rest at {rest.text}",
        f"{plain(below)} VA + {plain(above)} VA x {rest.text}",
        below + above * rest.number / 100,
        "VA",
        rest.section,
        key="general_demand",
        confirmed=rest.confirmed,
    )
