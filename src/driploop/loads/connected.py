"""The plain sum: a building that is neither dwelling nor farm building, every load in full, largest motor raised."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.editions import Edition
from driploop.loads.inputs import BuildingInputs, ConnectedLoad, OtherLoad
from driploop.loads.motors import largest_motor_line
from driploop.loads.results import LoadResult
from driploop.loads.writing import finish, sheet_for, sum_words, total_of
from driploop.worksheet import WorksheetWriter


def connected_building(inputs: BuildingInputs, *, edition: Edition, where: str = "building") -> LoadResult:
    """Load of a building by the sum of what is connected; no demand factor, the largest motor raised.

    Args:
        inputs: the building's loads.
        edition: the code edition to ask.
        where: names the worksheet.

    Source:
        NEC 2020: 220.14 for each load, 430.24 for motors; no demand factor is claimed.
    """
    sheet = sheet_for("connected", f"Connected load, {inputs.name}", where=where)
    parts = [load_lines(inputs.loads, sheet=sheet)]
    motor_va = max((load.motor_va for load in inputs.loads), default=0.0)
    if motor_va:
        parts.append(largest_motor_line(motor_va, sheet=sheet, edition=edition))
    return finish(
        sheet,
        method="connected",
        section=edition.entry("dwelling-standard-load").section,
        parts=parts,
        volts=inputs.volts,
        continuous_va=total_of(load.va for load in inputs.loads if load.continuous),
        edition=edition,
        assumptions=inputs.assumptions,
        why="neither a dwelling nor a farm building: every load counts in full",
    )


def load_lines(loads: Sequence[ConnectedLoad], *, sheet: WorksheetWriter) -> float:
    """One line a load; their sum. [VA]"""
    for number, load in enumerate(loads, start=1):
        sheet.number(load.name, load.working or "nameplate", load.va, "VA", key=f"load_{number}")
    return total_of(load.va for load in loads)


def as_other_load(inputs: BuildingInputs) -> OtherLoad:
    """A whole building as one load that is added in full to another's. [VA]"""
    singles = [load.neutral_va for load in inputs.loads]
    return OtherLoad(
        name=f"{inputs.name}, all its load",
        working=sum_words([load.va for load in inputs.loads]),
        va=total_of(load.va for load in inputs.loads),
        neutral_va=total_of(singles) + max(singles, default=0.0),
        motor_va=max((load.motor_va for load in inputs.loads), default=0.0),
        continuous_va=total_of(load.va for load in inputs.loads if load.continuous),
    )
