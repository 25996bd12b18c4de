"""Heating against cooling: the larger only, and the six cases of the optional method."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.editions import Edition
from driploop.loads.inputs import DwellingInputs, HeatPump
from driploop.loads.writing import sum_words, total_of
from driploop.worksheet import WorksheetWriter, plain


@dataclass(frozen=True, slots=True)
class Climate:
    """What counts of heating and cooling, and its largest motor. [VA]"""

    va: float
    motor_va: float


def heating_va(inputs: DwellingInputs) -> float:
    """All that heats at once, blowers included. [VA]"""
    return total_of(
        [*(unit.va for unit in inputs.heating), *(heat_pump_heating_va(pump) for pump in inputs.heat_pumps)]
    )


def cooling_va(inputs: DwellingInputs) -> float:
    """All that cools at once: air conditioning, heat pumps turned to cooling, and the blowers that serve them. [VA]"""
    parts = [unit.va for unit in inputs.cooling] + [pump.compressor_va for pump in inputs.heat_pumps]
    return total_of([*parts, *blowers_va(inputs)]) if parts else 0.0


def blowers_va(inputs: DwellingInputs) -> list[float]:
    """The furnace blowers. [VA]"""
    return [unit.va for unit in inputs.heating if unit.kind == "blower"]


def heat_pump_heating_va(pump: HeatPump) -> float:
    """A heat pump while heating: with its supplemental heat, or the larger of the two where they exclude each other."""
    if pump.locked_out:
        return max(pump.compressor_va, pump.supplemental_va)
    return pump.compressor_va + pump.supplemental_va


def larger_of_heating_and_cooling(
    inputs: DwellingInputs, *, other_motor_va: float, sheet: WorksheetWriter, edition: Edition
) -> Climate:
    """Heating in full against cooling in full; the side that makes the larger load, its motor considered.

    Args:
        other_motor_va: the largest motor that runs with either. [VA]
    """
    space = edition.value("space_heat_percent")
    section = edition.section("load-noncoincident")
    heating = Climate(heating_va(inputs) * space.number / 100, max(_heating_motors(inputs), default=0.0))
    cooling = Climate(cooling_va(inputs), max(_cooling_motors(inputs), default=0.0))
    if not heating.va and not cooling.va:
        return heating
    parts = [*(unit.va for unit in inputs.heating), *(heat_pump_heating_va(pump) for pump in inputs.heat_pumps)]
    sheet.number("Heating", f"({sum_words(parts)}) VA x {space.text}", heating.va, "VA", space.section, key="heating")
    parts = [*(unit.va for unit in inputs.cooling), *(pump.compressor_va for pump in inputs.heat_pumps)]
    blowers = blowers_va(inputs) if cooling.va else []
    sheet.number("Cooling", sum_words([*parts, *blowers]), cooling.va, "VA", section, key="cooling")
    raise_by = edition.number("largest_motor_percent") / 100
    chosen = max((heating, cooling), key=lambda side: side.va + raise_by * max(side.motor_va, other_motor_va))
    working = "heating" if chosen is heating else "cooling"
    sheet.number("Larger of heating and cooling", working, chosen.va, "VA", section, key="heating_or_cooling")
    return chosen


def _heating_motors(inputs: DwellingInputs) -> list[float]:
    # A compressor that gives way to a larger supplemental heat is not running then.
    running = [
        pump for pump in inputs.heat_pumps if not (pump.locked_out and pump.supplemental_va > pump.compressor_va)
    ]
    return blowers_va(inputs) + [pump.motor_va for pump in running]


def _cooling_motors(inputs: DwellingInputs) -> list[float]:
    machines = [*(unit.motor_va for unit in inputs.cooling), *(pump.motor_va for pump in inputs.heat_pumps)]
    return [*machines, *blowers_va(inputs)]


def largest_of_six(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """The single largest of the optional method's six cases of heating and cooling. [VA]

    Source:
        The edition's list of cases (NEC 2020: 220.82(C)).
    """
    table = edition.table("heating_cooling_cases")
    parts = _case_parts(inputs, fewer_than=edition.number("separate_heating_units"))
    results: list[float] = []
    for row in table.rows:
        number = int(row["case"] or 0)
        in_full, supplement = parts[number]
        if not in_full and not supplement:
            continue
        percent = table.cite(row, "percent")
        working, va = f"{plain(in_full)} VA x {percent.text}", in_full * percent.number / 100
        if supplement:
            share = table.cite(row, "supplemental_percent")
            working += f" + {plain(supplement)} VA x {share.text}"
            va += supplement * share.number / 100
        what = f"Case {number}: {row['load']}"
        sheet.number(what, working, va, "VA", percent.section, key=f"case_{number}", confirmed=percent.confirmed)
        results.append(va)
    if not results:
        return 0.0
    return sheet.number(
        "Heating or cooling, the largest case", "largest of the cases", max(results), "VA", table.section, key="case"
    )


def _case_parts(inputs: DwellingInputs, *, fewer_than: float) -> dict[int, tuple[float, float]]:
    bare = [pump for pump in inputs.heat_pumps if not pump.supplemental_va]
    helped = [pump for pump in inputs.heat_pumps if pump.supplemental_va]
    # In mild weather, and for cooling, every heat pump runs without its supplement.
    locked = [pump for pump in helped if pump.locked_out]
    resistance = [unit for unit in inputs.heating if unit.kind == "resistance"]
    heat_va = total_of(unit.va for unit in resistance)
    few = sum(unit.controls for unit in resistance) < fewer_than
    # Beside air conditioning a heat pump cools too: all that cools at once is one case.
    cool_va = [*(unit.va for unit in inputs.cooling), *(pump.compressor_va for pump in inputs.heat_pumps)]
    return {
        1: (total_of(cool_va) if inputs.cooling else 0.0, 0.0),
        2: (total_of(pump.compressor_va for pump in inputs.heat_pumps) if bare or locked else 0.0, 0.0),
        3: (
            total_of(pump.compressor_va for pump in inputs.heat_pumps if helped and pump not in locked),
            total_of(pump.supplemental_va for pump in helped),
        ),
        4: (heat_va if few else 0.0, 0.0),
        5: (0.0 if few else heat_va, 0.0),
        6: (total_of(unit.va for unit in inputs.heating if unit.kind == "storage"), 0.0),
    }
