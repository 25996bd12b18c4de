"""The soil's resistivity, from four-pin readings, else from its description, else from every soil there is."""

from __future__ import annotations

import math

from driploop.earth.measured import four_pin_ohm_cm
from driploop.earth.results import SoilBand
from driploop.editions import common_table
from driploop.installation.model import Soil
from driploop.installation.soil_tests import FourPin
from driploop.worksheet import Assumption, WorksheetWriter


def read_soil(soil: Soil) -> SoilBand:
    """The band of the soil's resistivity.

    Args:
        soil: what the survey says of it.

    Returns:
        From readings, their lowest, geometric mean and highest; ``layered`` where they disagree. From a description,
        the published band. Unknown: the widest published band, as an assumption.
    """
    readings = [each for each in soil.four_pin or () if each.spacing_ft and each.resistance_ohm]
    return _by_readings(readings) if readings else _by_description(soil.description)


def _by_readings(readings: list[FourPin]) -> SoilBand:
    writer = WorksheetWriter("earth/soil", "Resistivity of the soil, by four pins")
    found = []
    for number, each in enumerate(readings, start=1):
        assert each.spacing_ft is not None
        assert each.resistance_ohm is not None
        value = four_pin_ohm_cm(
            spacing_ft=each.spacing_ft, resistance_ohm=each.resistance_ohm, probe_depth_in=each.probe_depth_in
        )
        deep = each.probe_depth_in is not None and each.probe_depth_in / 12 > each.spacing_ft / 20
        working = f"{'full formula, ' if deep else '2 pi x '}{each.spacing_ft:g} ft x {each.resistance_ohm:g} ohm"
        found.append(
            writer.number(
                f"To about {each.spacing_ft:g} ft down", working, round(value), "ohm-cm", key=f"reading-{number}"
            )
        )
    low, high = min(found), max(found)
    middle = math.exp(sum(math.log(value) for value in found) / len(found))
    writer.number("Middle", "geometric mean of the readings", round(middle), "ohm-cm", key="middle")
    spread = common_table("earth_practice").cell("value", name="four_pin_spread_percent").number
    layered = high > low * (1 + spread / 100)
    if layered:
        writer.write("Layers", "readings differ with depth", "layered soil", key="layers")
    basis = f"{len(readings)} four-pin {'reading' if len(readings) == 1 else 'readings'}"
    asked: tuple[Assumption, ...] = ()
    if len(readings) == 1:
        why = "one spacing tells of one depth only; it is shown as it was read"
        asked = (Assumption("soil.four_pin", "the soil is alike at every depth", why, "readings at two more spacings"),)
    return SoilBand(low, middle, high, basis, layered, "", writer.done(), asked)


def _by_description(description: str | None) -> SoilBand:
    writer = WorksheetWriter("earth/soil", "Resistivity of the soil, by description")
    table = common_table("soil_resistivity")
    if description is None:
        cells = {
            "low_ohm_cm": min(table.rows, key=lambda row: float(row["low_ohm_cm"] or 0)),
            "high_ohm_cm": max(table.rows, key=lambda row: float(row["high_ohm_cm"] or 0)),
        }
        low, high = (table.cite(row, column) for column, row in cells.items())
        writer.cite("Lowest", "of every soil in the table", low, key="low")
        writer.cite("Highest", "of every soil in the table", high, key="high")
        middle = math.sqrt(low.number * high.number)
        writer.number("Middle", "geometric mean of both", round(middle), "ohm-cm", key="middle")
        asked = Assumption(
            "soil.description",
            "any soil, from brine-wet clay to dry gravel",
            "the high end is the worst that was ever published",
            "a description of the soil narrows it; four-pin readings settle it",
        )
        return SoilBand(
            low.number, middle, high.number, "soil not described", False, low.confirmed, writer.done(), (asked,)
        )
    low, average, high = (
        table.cell(column, soil=description) for column in ("low_ohm_cm", "average_ohm_cm", "high_ohm_cm")
    )
    for what, cited, key in (("Lowest", low, "low"), ("Average", average, "middle"), ("Highest", high, "high")):
        writer.cite(what, f"published for {description}", cited, key=key)
    asked = Assumption(
        "soil.four_pin",
        f"anything published for {description}",
        "the high end is the worst of that soil",
        "four-pin readings at three spacings",
    )
    return SoilBand(low.number, average.number, high.number, description, False, low.confirmed, writer.done(), (asked,))
