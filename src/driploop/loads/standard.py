"""The standard calculation of a dwelling: every part by its own demand, heating against cooling, largest motor."""

from __future__ import annotations

from itertools import chain

from driploop.editions import Edition
from driploop.loads.appliances import appliance_load, evse_load, instantaneous_heater_assumptions
from driploop.loads.cooking import cooking_demand
from driploop.loads.dryers import dryer_demand
from driploop.loads.heating import larger_of_heating_and_cooling
from driploop.loads.inputs import DwellingInputs
from driploop.loads.lighting import net_lighting
from driploop.loads.motors import largest, largest_motor_line
from driploop.loads.results import LoadResult
from driploop.loads.writing import finish, nameplate_lines, sheet_for, sum_words, total_of
from driploop.worksheet import WorksheetWriter


def standard_dwelling(inputs: DwellingInputs, *, edition: Edition, where: str = "dwelling") -> LoadResult:
    """Load of one dwelling, or of several taken together, by the standard method.

    Args:
        inputs: what the dwelling holds; see ``DwellingInputs`` for units.
        edition: the code edition to ask.
        where: names the worksheet ``load/<where>/standard``.

    Returns:
        The load in VA and in amperes line to line, with its worksheet.

    Raises:
        NotInEdition: a vehicle charger without nameplate where the edition has no value for one.

    Source:
        NEC 2020 Article 220 Parts II and III; by edition in the worksheet.
    """
    sheet = sheet_for("standard", f"Standard load, {inputs.name}", where=where)
    nameplate_lines(inputs, sheet=sheet)
    motor_va = _largest_other_motor(inputs)
    dryers = dryer_demand(inputs.dryers_va, sheet=sheet, edition=edition)
    parts = [
        net_lighting(inputs, sheet=sheet, edition=edition),
        appliance_load(inputs, sheet=sheet, edition=edition).va,
        dryers.va,
        cooking_demand(inputs.cooking, sheet=sheet, edition=edition),
    ]
    climate = larger_of_heating_and_cooling(inputs, other_motor_va=motor_va, sheet=sheet, edition=edition)
    evse_va = evse_load(inputs, sheet=sheet, edition=edition)
    parts += [climate.va, evse_va, motors_line(inputs, sheet=sheet, edition=edition), other_line(inputs, sheet=sheet)]
    if max(motor_va, climate.motor_va):
        parts.append(largest_motor_line(max(motor_va, climate.motor_va), sheet=sheet, edition=edition))
    return finish(
        sheet,
        method="standard",
        section=edition.entry("dwelling-standard-load").section,
        parts=parts,
        volts=inputs.volts,
        continuous_va=evse_va + continuous_va(inputs),
        edition=edition,
        assumptions=chain(
            inputs.assumptions, dryers.assumptions, instantaneous_heater_assumptions(inputs, edition=edition)
        ),
    )


def _largest_other_motor(inputs: DwellingInputs) -> float:
    """The largest motor outside heating and cooling. [VA]"""
    appliances = (appliance.va for appliance in inputs.appliances if appliance.motor)
    return max((largest(inputs.motors), *appliances, *(load.motor_va for load in inputs.other)))


def motors_line(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """Motors that are no appliance, heating or cooling, in full. [VA]"""
    if not inputs.motors:
        return 0.0
    loads = sorted(motor.va for motor in inputs.motors)
    section = edition.section("motor-feeder")
    return sheet.number("Motors", sum_words(loads), total_of(loads), "VA", section, key="motors")


def other_line(inputs: DwellingInputs, *, sheet: WorksheetWriter) -> float:
    """Loads that are added in full. [VA]"""
    for number, load in enumerate(inputs.other, start=1):
        sheet.number(load.name, load.working, load.va, "VA", key=f"other_{number}")
    return total_of(load.va for load in inputs.other)


def continuous_va(inputs: DwellingInputs) -> float:
    """The continuous loads besides vehicle chargers. [VA]"""
    return total_of(
        [
            *(appliance.va for appliance in inputs.appliances if appliance.continuous),
            *(unit.va for unit in inputs.heating if unit.continuous),
            *(load.continuous_va for load in inputs.other),
        ]
    )
