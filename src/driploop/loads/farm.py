"""Farm buildings and the whole farm: load in amperes by steps, then the buildings ranked and the dwelling added."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

from driploop.editions import Edition
from driploop.loads.connected import connected_building, load_lines
from driploop.loads.inputs import BuildingInputs
from driploop.loads.results import LoadResult
from driploop.loads.writing import conductor_current_of, finish, sheet_for, total_of
from driploop.worksheet import Cited, WorksheetWriter, plain

#: The farm tables count amperes at this voltage, whatever the system.
TABLE_VOLTS = 240.0


@dataclass(frozen=True, slots=True)
class _FirstGroup:
    """A candidate for what counts in full: its amperes, and how much of the connected load it takes up."""

    key: str
    what: str
    working: str
    counted_a: float
    takes_up_a: float


def farm_building(inputs: BuildingInputs, *, edition: Edition, where: str = "building") -> LoadResult:
    """Load of one farm building with two or more branch circuits, by the steps of the farm table.

    The first group is the largest of the loads that run together, the largest motor raised, and the first amperes of
    all load; of what is left a next group and the rest are reduced. Of the three groups the one that makes the
    largest load is taken.

    Args:
        inputs: the building's loads; ``together`` marks those expected to run at the same time.
        edition: the code edition to ask.
        where: names the worksheet.

    Source:
        NEC 2020: 220.102 and its table.
    """
    sheet = sheet_for("farm building", f"Farm building load, {inputs.name}", where=where)
    connected_va = load_lines(inputs.loads, sheet=sheet)
    section = edition.entry("farm-building-load").section
    total_a = sheet.number(
        "All load",
        f"{plain(connected_va)} VA / {plain(TABLE_VOLTS)} V",
        connected_va / TABLE_VOLTS,
        "A",
        section,
        key="all_load",
    )
    load_a = max(_stepped(group, total_a, sheet=sheet, edition=edition) for group in _groups(inputs, total_a, edition))
    share = load_a / total_a if total_a else 1.0
    continuous_va = total_of(load.va for load in inputs.loads if load.continuous)
    return finish(
        sheet,
        method="farm building",
        section=section,
        parts=[load_a * TABLE_VOLTS],
        volts=inputs.volts,
        continuous_va=continuous_va * min(share, 1.0),
        edition=edition,
        assumptions=inputs.assumptions,
        why="a farm building with two or more branch circuits",
    )


def _groups(inputs: BuildingInputs, total_a: float, edition: Edition) -> tuple[_FirstGroup, ...]:
    together_a = total_of(load.va for load in inputs.loads if load.together) / TABLE_VOLTS
    motor_a = max((load.motor_va for load in inputs.loads), default=0.0) / TABLE_VOLTS
    percent, first = edition.value("farm_largest_motor_percent"), edition.value("farm_first_ampere")
    first_a = min(total_a, first.number)
    raised_a = motor_a * percent.number / 100
    return (
        _FirstGroup("together", "Loads that run together", plain(together_a), together_a, together_a),
        _FirstGroup("motor", "Largest motor raised", f"{plain(motor_a)} A x {percent.text}", raised_a, motor_a),
        _FirstGroup("first", f"First {first.text}", plain(first_a), first_a, first_a),
    )


def _stepped(group: _FirstGroup, total_a: float, *, sheet: WorksheetWriter, edition: Edition) -> float:
    next_percent, rest_percent = edition.value("farm_next_percent"), edition.value("farm_remainder_percent")
    left_a = max(total_a - group.takes_up_a, 0.0)
    next_a = min(left_a, edition.number("farm_next_ampere"))
    rest_a = left_a - next_a
    value = group.counted_a + next_a * next_percent.number / 100 + rest_a * rest_percent.number / 100
    working = f"{group.working} + {plain(next_a)} A x {next_percent.text} + {plain(rest_a)} A x {rest_percent.text}"
    return sheet.number(
        f"{group.what} in full, then the steps",
        working,
        value,
        "A",
        next_percent.section,
        key=f"group_{group.key}",
        confirmed=next_percent.confirmed,
    )


def building_load(inputs: BuildingInputs, *, edition: Edition, where: str = "building") -> LoadResult:
    """Load of a farm building: by the farm table where it has circuits enough, else the plain sum."""
    if inputs.circuits >= edition.number("farm_minimum_circuits"):
        return farm_building(inputs, edition=edition, where=where)
    return connected_building(inputs, edition=edition, where=where)


def farm_total(
    buildings: Sequence[LoadResult],
    dwellings: Sequence[LoadResult],
    *,
    edition: Edition,
    volts: float = TABLE_VOLTS,
    where: str = "farm",
) -> LoadResult:
    """Load of a whole farm: its buildings' loads ranked and reduced by rank, its dwellings added in full.

    Every line of the buildings' and dwellings' own worksheets is repeated, so that the sum can be followed here.

    Args:
        buildings: the loads of the farm buildings.
        dwellings: the loads of the farm dwellings, each by the method chosen for it.
        edition: the code edition to ask.
        volts: line to line. [V]
        where: names the worksheet.

    Source:
        NEC 2020: 220.103 and its table.
    """
    sheet = sheet_for("farm total", "Total farm load", where=where)
    ranked = sorted(buildings, key=lambda result: -(result.load_va or 0.0))
    parts: list[float] = []
    extra_a: list[float] = []
    for number, result in enumerate(ranked, start=1):
        _repeat(result, f"building_{number}_", sheet=sheet)
        percent = _rank_percent(number, edition=edition)
        parts.append(_ranked_line(result, number, percent, sheet=sheet))
        extra_a.append(_extra_a(result) * percent.number / 100)
    share = edition.value("farm_dwelling_percent")
    for number, result in enumerate(dwellings, start=1):
        _repeat(result, f"dwelling_{number}_", sheet=sheet)
        working = f"{plain(result.load_va or 0.0)} VA x {share.text}"
        va = (result.load_va or 0.0) * share.number / 100
        key = f"dwelling_{number}"
        parts.append(sheet.number(result.title, working, va, "VA", share.section, key=key, confirmed=share.confirmed))
        extra_a.append(_extra_a(result))
    return finish(
        sheet,
        method="farm total",
        section=edition.entry("total-farm-load").section,
        parts=parts,
        volts=volts,
        continuous_va=total_of(extra_a) * volts / (edition.number("continuous_percent") / 100 - 1),
        edition=edition,
        assumptions=chain.from_iterable(result.assumptions for result in (*ranked, *dwellings)),
        why="all that the farm's supply carries: buildings by rank, the dwelling in full",
    )


def _rank_percent(rank: int, *, edition: Edition) -> Cited:
    table = edition.table("farm_total_demand")
    known = {str(row["rank"]) for row in table.rows}
    return table.cell("percent", rank=str(rank) if str(rank) in known else "rest")


def _ranked_line(result: LoadResult, rank: int, percent: Cited, *, sheet: WorksheetWriter) -> float:
    load_va = result.load_va or 0.0
    return sheet.number(
        f"{result.title}, rank {rank}",
        f"{plain(load_va)} VA x {percent.text}",
        load_va * percent.number / 100,
        "VA",
        percent.section,
        key=f"rank_{rank}",
        confirmed=percent.confirmed,
    )


def _extra_a(result: LoadResult) -> float:
    """What the continuous part adds for conductors. [A]"""
    return conductor_current_of(result) - (result.current_a or 0.0)


def _repeat(result: LoadResult, prefix: str, *, sheet: WorksheetWriter) -> None:
    for line in result.worksheet.lines:
        if line.key == "conductor_current":
            continue
        sheet.write(
            line.what,
            line.working,
            line.result.value,
            line.result.unit,
            line.result.section,
            key=f"{prefix}{line.key}",
            confirmed=line.result.confirmed,
        )
