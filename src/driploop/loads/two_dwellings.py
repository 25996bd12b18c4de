"""Two dwelling units on one supply: the standard sum, or three identical units by the multifamily factor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from driploop.editions import Edition, NotInEdition
from driploop.loads.inputs import DwellingInputs, OtherLoad, together
from driploop.loads.multifamily import connected_load, units_demand, units_permission
from driploop.loads.results import LoadResult
from driploop.loads.standard import continuous_va, other_line, standard_dwelling
from driploop.loads.writing import conductor_current_of, finish, refused, sheet_for, total_of
from driploop.worksheet import WorksheetWriter, plain

TITLE = "Two dwellings, the lesser of two ways"


def two_dwellings(
    units: Sequence[DwellingInputs],
    *,
    edition: Edition,
    house: Sequence[OtherLoad] = (),
    where: str = "two-dwellings",
) -> LoadResult:
    """Load of two dwelling units: the lesser of their standard load and of three identical units.

    Where the two differ, the one with the larger connected load stands three times.

    Args:
        units: the two dwelling units.
        edition: the code edition to ask.
        house: loads shared by both, added in full.
        where: names the worksheet.

    Returns:
        The load, or a refusal in words where the edition's factors are not known or there are not two units.

    Source:
        NEC 2020: 220.85.
    """
    section = edition.entry("two-dwelling-load").section
    whole = together(units, other=house)
    if len(units) != 2:
        why = f"is for two dwelling units; there are {len(units)}"
        return refused("two dwellings", TITLE, where=where, section=section, why=why, assumptions=whole.assumptions)
    sheet = sheet_for("two dwellings", TITLE, where=where)
    standard = standard_dwelling(whole, edition=edition, where=where)
    standard_va = standard.load_va or 0.0
    sheet.number("Standard load of the two", "worksheet of the standard method", standard_va, "VA", key="standard")
    try:
        three_va = _three_identical(units, sheet=sheet, edition=edition)
    except NotInEdition as fault:
        why = str(fault)
        return refused("two dwellings", TITLE, where=where, section=section, why=why, assumptions=whole.assumptions)
    three_va += other_line(whole, sheet=sheet)
    lesser = sheet.number(
        "The lesser",
        f"{plain(standard_va)} and {plain(three_va)}",
        min(standard_va, three_va),
        "VA",
        section,
        key="lesser",
    )
    permitted, why = units_permission(units)
    if permitted == "no":
        # Two dwellings are compared with three that would meet the conditions; whether these must is for the office.
        permitted = "ask"
    evse_va = total_of([*(va or 0.0 for va in whole.evse_va), whole.evse_held_va])
    if lesser == standard_va:
        continuous = (conductor_current_of(standard) - (standard.current_a or 0.0)) * whole.volts
        continuous /= edition.number("continuous_percent") / 100 - 1
    else:
        continuous = continuous_va(whole) + evse_va
    return finish(
        sheet,
        method="two dwellings",
        section=section,
        parts=[lesser],
        volts=whole.volts,
        continuous_va=continuous,
        edition=edition,
        assumptions=standard.assumptions,
        permitted=permitted,
        why=why if permitted != "yes" else f"the lesser of the two ways; {why}",
    )


def _three_identical(units: Sequence[DwellingInputs], *, sheet: WorksheetWriter, edition: Edition) -> float:
    count = int(edition.number("two_dwelling_equivalent_units"))
    larger = max(units, key=lambda unit: _connected_va(unit, edition=edition))
    return units_demand([replace(larger, other=(), nameplates=())] * count, sheet=sheet, edition=edition)


def _connected_va(unit: DwellingInputs, *, edition: Edition) -> float:
    return connected_load([unit], sheet=WorksheetWriter("load/trial", ""), edition=edition)
