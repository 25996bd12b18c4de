"""The neutral's load: what is unbalanced, ranges and dryers reduced, the part over a threshold reduced."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.editions import Edition
from driploop.loads.appliances import appliance_load
from driploop.loads.cooking import cooking_demand
from driploop.loads.dryers import dryer_demand
from driploop.loads.inputs import BuildingInputs, DwellingInputs
from driploop.loads.lighting import net_lighting
from driploop.loads.motors import largest_motor_line
from driploop.loads.results import NeutralLoad
from driploop.loads.writing import sum_words, total_of
from driploop.worksheet import Assumption, WorksheetWriter, plain, unique

#: Line-to-line voltage of a single-phase three-wire system with its neutral midway. Any other takes the neutral from
#: a wye, whose neutral carries as much as a line.
MIDPOINT_VOLTS = 240.0


def neutral_of_dwelling(inputs: DwellingInputs, *, edition: Edition, where: str = "dwelling") -> NeutralLoad:
    """Neutral load of one dwelling, or of several taken together, whichever method sized the lines.

    Loads at 240 V add nothing, cooking and dryers count at their share. Line-to-neutral loads are taken as shared
    evenly over both lines, as the code's own examples do.

    Source:
        NEC 2020: 220.61.
    """
    sheet = WorksheetWriter(f"load/{where}/neutral", f"Neutral load, {inputs.name}")
    share = edition.value("neutral_range_dryer_percent")
    factor = share.number / 100 if inputs.volts == MIDPOINT_VOLTS else 1.0
    parts = [net_lighting(inputs, sheet=sheet, edition=edition)]
    appliances = appliance_load(inputs, sheet=sheet, edition=edition)
    parts.append(_neutral_line("Appliances, line to neutral", appliances.neutral_va, "appliances", sheet, edition))
    for name, demand_va in (
        ("Dryers", dryer_demand(inputs.dryers_va, sheet=sheet, edition=edition).va),
        ("Cooking", cooking_demand(inputs.cooking, sheet=sheet, edition=edition)),
    ):
        if demand_va:
            working = f"{plain(demand_va)} VA x {plain(factor * 100)} %"
            what, key = f"{name}, share of the neutral", f"neutral_{name.lower()}"
            parts.append(
                sheet.number(what, working, demand_va * factor, "VA", share.section, key=key, confirmed=share.confirmed)
            )
    parts.append(_neutral_line("Heating or cooling, line to neutral", _climate_va(inputs), "climate", sheet, edition))
    parts.append(_neutral_line("Vehicle chargers, line to neutral", inputs.evse_neutral_va, "evse", sheet, edition))
    motors = [motor.va for motor in inputs.motors if motor.line_to_neutral]
    parts.append(_neutral_line("Motors, line to neutral", total_of(motors), "motors", sheet, edition))
    other = total_of(load.neutral_va for load in inputs.other)
    parts.append(_neutral_line("Other loads, line to neutral", other, "other", sheet, edition))
    motors += [appliance.va for appliance in inputs.appliances if appliance.motor and appliance.line_to_neutral]
    if motors:
        parts.append(largest_motor_line(max(motors), sheet=sheet, edition=edition))
    return _finish(sheet, parts, volts=inputs.volts, edition=edition, assumptions=inputs.assumptions)


def neutral_of_building(inputs: BuildingInputs, *, edition: Edition, where: str = "building") -> NeutralLoad:
    """Neutral load of a building that is no dwelling.

    Its line-to-neutral loads are shared over two lines as evenly as their sizes allow: uneven by at most the largest
    of them. On the neutral that is their sum plus the largest, as volt-amperes line to line.

    Source:
        NEC 2020: 220.61.
    """
    sheet = WorksheetWriter(f"load/{where}/neutral", f"Neutral load, {inputs.name}")
    parts = neutral_parts(inputs, sheet=sheet, edition=edition)
    return _finish(sheet, parts, volts=inputs.volts, edition=edition, assumptions=inputs.assumptions)


def neutral_parts(inputs: BuildingInputs, *, sheet: WorksheetWriter, edition: Edition, prefix: str = "") -> list[float]:
    """The lines of ``neutral_of_building``, for a worksheet of several buildings. [VA]"""
    singles = sorted(load.neutral_va for load in inputs.loads if load.neutral_va)
    section = edition.section("neutral-load")
    return [
        sheet.number(
            f"{inputs.name}: loads line to neutral",
            sum_words(singles),
            total_of(singles),
            "VA",
            section,
            key=f"{prefix}line_to_neutral",
        ),
        sheet.number(
            f"{inputs.name}: uneven by at most the largest of them",
            "the largest once more",
            max(singles, default=0.0),
            "VA",
            section,
            key=f"{prefix}uneven",
        ),
    ]


def neutral_of_site(
    dwellings: Sequence[NeutralLoad], buildings: Sequence[BuildingInputs], *, volts: float, edition: Edition, where: str
) -> NeutralLoad:
    """Neutral load where dwellings and other buildings hang on one supply: all added, nothing taken off by rank."""
    sheet = WorksheetWriter(f"load/{where}/neutral", "Neutral load of all that hangs below")
    parts = []
    for number, dwelling in enumerate(dwellings, start=1):
        key = f"dwelling_{number}"
        unreduced = dwelling.worksheet.line("unbalanced").result.number
        title = dwelling.worksheet.title
        parts.append(sheet.number(title, "before any reduction", unreduced, "VA", key=key))
    for number, building in enumerate(buildings, start=1):
        parts += neutral_parts(building, sheet=sheet, edition=edition, prefix=f"building_{number}_")
    assumptions = [note for dwelling in dwellings for note in dwelling.assumptions]
    assumptions += [note for building in buildings for note in building.assumptions]
    return _finish(sheet, parts, volts=volts, edition=edition, assumptions=assumptions)


def _climate_va(inputs: DwellingInputs) -> float:
    """What runs line to neutral of heating or of cooling, the larger; both cannot run together. [VA]"""
    pumps = [pump.compressor_va for pump in inputs.heat_pumps if pump.line_to_neutral]
    heating = total_of([*(unit.va for unit in inputs.heating if unit.line_to_neutral), *pumps])
    cooling = [*(unit.va for unit in inputs.cooling if unit.line_to_neutral), *pumps]
    blowers = [unit.va for unit in inputs.heating if unit.kind == "blower" and unit.line_to_neutral]
    return max(heating, total_of([*cooling, *blowers]))


def _neutral_line(what: str, va: float, key: str, sheet: WorksheetWriter, edition: Edition) -> float:
    if not va:
        return 0.0
    return sheet.number(what, "at 120 V", va, "VA", edition.section("neutral-load"), key=f"neutral_{key}")


def _finish(
    sheet: WorksheetWriter,
    parts: Sequence[float],
    *,
    volts: float,
    edition: Edition,
    assumptions: Sequence[Assumption],
) -> NeutralLoad:
    section = edition.section("neutral-load")
    load_va = sheet.number("Unbalanced load", sum_words(parts), total_of(parts), "VA", section, key="unbalanced")
    current = sheet.number(
        "Neutral current", f"{plain(load_va)} VA / {plain(volts)} V", load_va / volts, "A", section, key="current"
    )
    reduced = over_threshold(current, sheet=sheet, edition=edition) if volts == MIDPOINT_VOLTS else current
    sheet.number("Neutral", "after the reduction, if any", reduced, "A", section, key="total")
    return NeutralLoad(reduced * volts, reduced, sheet.done(), unique(assumptions))


def over_threshold(current_a: float, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """The neutral current with the part over the threshold reduced. [A]

    Not for a three-wire circuit taken off a four-wire wye, nor for the nonlinear part of a load.
    """
    threshold, percent = edition.value("neutral_over_threshold"), edition.value("neutral_over_200_percent")
    if current_a <= threshold.number:
        return current_a
    return sheet.number(
        f"Part over {threshold.text} reduced",
        f"{threshold.text} + ({plain(current_a)} - {plain(threshold.value)}) x {percent.text}",
        threshold.number + (current_a - threshold.number) * percent.number / 100,
        "A",
        percent.section,
        key="over_threshold",
        confirmed=percent.confirmed,
    )
