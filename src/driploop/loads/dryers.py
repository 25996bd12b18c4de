"""Household electric dryers: a floor for each, then the table by number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from driploop.editions import Edition, NotInTable
from driploop.worksheet import Assumption, WorksheetWriter, plain


@dataclass(frozen=True, slots=True)
class DryerDemand:
    """Demand of the dryers [VA], and what had to be assumed."""

    va: float
    assumptions: tuple[Assumption, ...] = ()


def dryer_demand(nameplates_va: Sequence[float], *, sheet: WorksheetWriter, edition: Edition) -> DryerDemand:
    """Dryers at the floor or the nameplate, the larger, times the table's percent for their number.

    Where the table's row was not seen the dryers count in full, which is never less.

    Source:
        The edition's dryer section and table (NEC 2020: 220.54).
    """
    if not nameplates_va:
        return DryerDemand(0.0)
    floor_va = edition.value("dryer_minimum")
    counted = sorted(max(va, floor_va.number) for va in nameplates_va)
    connected_va = sheet.number(
        f"Dryers, each {floor_va.text} or its nameplate",
        " + ".join(plain(va) for va in counted) if len(counted) <= 8 else f"{len(counted)} dryers",
        fsum(counted),
        "VA",
        floor_va.section,
        key="dryers_connected",
        confirmed=floor_va.confirmed,
    )
    table = edition.table("dryer_demand")
    try:
        percent = table.cite(table.within("dryers_from", "dryers_to", len(counted)), "percent")
    except NotInTable:
        sheet.number("Dryers", "row not known, in full", connected_va, "VA", table.section, key="dryers")
        return DryerDemand(connected_va, (_row_not_seen(len(counted), edition=edition),))
    demand_va = sheet.number(
        "Dryers",
        f"{plain(connected_va)} VA x {percent.text} for {len(counted)}",
        connected_va * percent.number / 100,
        "VA",
        percent.section,
        key="dryers",
        confirmed=percent.confirmed,
    )
    return DryerDemand(demand_va)


def _row_not_seen(count: int, *, edition: Edition) -> Assumption:
    return Assumption(
        where="town.edition",
        assumed=f"{count} dryers count in full",
        why_safe=f"the row of {edition.table('dryer_demand').section} for {count} was not seen; in full is never less",
        would_change="the row's percent, from the printed code or the office, would lower the load",
    )
