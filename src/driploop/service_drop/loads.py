"""What a drop carries: its own weight, ice round it, wind against it; and the cable's data from the trade's tables."""

from __future__ import annotations

import math
from dataclasses import dataclass

from driploop.editions import Table, common_table
from driploop.service_drop.catenary import Spring

_SOLID = 7 / 9  # seven strands of one diameter fill so much of the circle round them


@dataclass(frozen=True, slots=True)
class Cable:
    """One size of drop cable: weight, diameter of the bundle, strength of its messenger."""

    size: str
    weight_lb_per_ft: float
    diameter_in: float
    strength_lb: float
    spring: Spring
    confirmed: str


@dataclass(frozen=True, slots=True)
class Weather:
    """One condition: temperature, ice, wind, and what the district's rule adds to the resultant."""

    name: str
    temperature_f: float
    ice_in: float = 0.0
    wind_psf: float = 0.0
    added_lb_per_ft: float = 0.0


def practice(name: str) -> float:
    """A value of common practice by name, in the unit its row tells."""
    return common_table("drop_practice").cell("value", name=name).number


def cables(size: str | None) -> tuple[Cable, ...]:
    """The triplex of a size; every size of the table where it is not known or not listed."""
    table, elastic = common_table("service_drop_triplex"), common_table("messenger_elastic")
    modulus, expansion = (elastic.cell(column, kind="ACSR").number for column in ("modulus_psi", "expansion_per_f"))
    rows = [row for row in table.rows if row["size"] == size] or list(table.rows)
    return tuple(_cable(table, row["size"], modulus, expansion) for row in rows)


def _cable(table: Table, size: object, modulus: float, expansion: float) -> Cable:
    row = table.row(size=str(size))
    weight, bundle, messenger, strength = (
        table.cite(row, column).number
        for column in ("weight_lb_per_kft", "bundle_diameter_in", "messenger_diameter_in", "rated_strength_lb")
    )
    area = _SOLID * math.pi / 4 * messenger**2
    spring = Spring(modulus, area, expansion)
    return Cable(str(size), weight / 1000, bundle, strength, spring, str(row["confirmed"]))


def ice_lb_per_ft(*, diameter_in: float, ice_in: float) -> float:
    """Weight of a ring of ice round a cable or bundle. [lb/ft]

    Source:
        Area of the ring times 57 lb to the cubic foot: National Electrical Safety Code, Rule 251A; CPUC General
        Order 95, Rule 43.1.
    """
    return practice("ice_lb_per_ft3") * math.pi * ice_in * (diameter_in + ice_in) / 144


def wind_lb_per_ft(*, diameter_in: float, ice_in: float, wind_psf: float) -> float:
    """Wind on the iced cable: pressure times its width. [lb/ft]"""
    return wind_psf * (diameter_in + 2 * ice_in) / 12


def load_lb_per_ft(cable: Cable, weather: Weather) -> float:
    """Weight, ice and wind together: the resultant, and what the district's rule adds to it. [lb/ft]

    Source:
        National Electrical Safety Code, Rule 251B.
    """
    down = cable.weight_lb_per_ft + ice_lb_per_ft(diameter_in=cable.diameter_in, ice_in=weather.ice_in)
    across = wind_lb_per_ft(diameter_in=cable.diameter_in, ice_in=weather.ice_in, wind_psf=weather.wind_psf)
    return math.hypot(down, across) + weather.added_lb_per_ft


def sag_weathers(district: str) -> tuple[Weather, ...]:
    """The conditions in which clearances are read: hot, and iced without wind."""
    ice = common_table("loading_districts").cell("ice_in", district=district).number
    table = common_table("sag_cases")
    return tuple(
        Weather(str(row["case"]), table.cite(row, "temperature_f").number, ice_in=ice if row["iced"] == "yes" else 0.0)
        for row in table.rows
    )


def pull_weather(district: str) -> Weather:
    """The condition in which the pull is read: ice and wind of the district."""
    table = common_table("loading_districts")
    temperature, ice, wind, added = (
        table.cell(column, district=district).number
        for column in ("temperature_f", "ice_in", "wind_psf", "added_lb_per_ft")
    )
    return Weather(f"{district} district, ice and wind", temperature, ice, wind, added)
