"""General lighting, small-appliance and laundry load of dwellings: connected, and after its demand table."""

from __future__ import annotations

from driploop.editions import Edition
from driploop.loads.inputs import DwellingInputs
from driploop.worksheet import WorksheetWriter, plain


def connected_lighting(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """Lighting and receptacles by floor area, plus the small-appliance and laundry circuits. [VA]"""
    unit = edition.value("dwelling_lighting")
    small = edition.value("small_appliance_circuit")
    laundry = edition.value("laundry_circuit")
    lighting_va = sheet.number(
        "General lighting and receptacles",
        f"{plain(inputs.floor_area_ft2)} ft2 x {unit.text}",
        inputs.floor_area_ft2 * unit.number,
        "VA",
        unit.section,
        key="lighting",
        confirmed=unit.confirmed,
    )
    small_va = sheet.number(
        "Small-appliance circuits",
        f"{inputs.small_appliance_circuits} x {small.text}",
        inputs.small_appliance_circuits * small.number,
        "VA",
        small.section,
        key="small_appliance",
        confirmed=small.confirmed,
    )
    laundry_va = sheet.number(
        "Laundry circuits",
        f"{inputs.laundry_circuits} x {laundry.text}",
        inputs.laundry_circuits * laundry.number,
        "VA",
        laundry.section,
        key="laundry",
        confirmed=laundry.confirmed,
    )
    return sheet.number(
        "Lighting, small-appliance and laundry",
        f"{plain(lighting_va)} + {plain(small_va)} + {plain(laundry_va)}",
        lighting_va + small_va + laundry_va,
        "VA",
        unit.section,
        key="lighting_circuits",
    )


def net_lighting(inputs: DwellingInputs, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """The connected lighting load after the demand table. [VA]"""
    connected_va = connected_lighting(inputs, sheet=sheet, edition=edition)
    table = edition.table("lighting_demand")
    net_va, below = 0.0, 0.0
    for number, row in enumerate(table.rows, start=1):
        top = float("inf") if row["to_va"] is None else float(row["to_va"])
        slice_va = min(connected_va, top) - below
        if slice_va <= 0:
            break
        percent = table.cite(row, "percent")
        net_va += sheet.number(
            "First part of it" if number == 1 else "Next part of it",
            f"{plain(slice_va)} VA x {percent.text}",
            slice_va * percent.number / 100,
            "VA",
            percent.section,
            key=f"lighting_demand_{number}",
            confirmed=percent.confirmed,
        )
        below = top
    return sheet.number("Lighting after demand", "sum of the parts", net_va, "VA", table.section, key="lighting_net")
