"""Household cooking equipment: the demand table with its notes, columns A and B compared with column C."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, fsum

from driploop.editions import Edition
from driploop.loads.inputs import CookingUnit
from driploop.worksheet import Cited, WorksheetWriter, plain


@dataclass(frozen=True, slots=True)
class _Way:
    """One permitted way to the demand of the same units."""

    key: str
    what: str
    working: str
    kw: float
    confirmed: str


def cooking_demand(units: Sequence[CookingUnit], *, sheet: WorksheetWriter, edition: Edition) -> float:
    """Demand of household cooking units, the smallest of the permitted ways. [VA]

    Units up to the table's lower limit, or above its upper one, are outside the table and count in full.

    Source:
        The edition's table of household cooking appliances and its notes 1, 2 and 3 (NEC 2020: Table 220.55).
    """
    if not units:
        return 0.0
    least, most = edition.number("range_min_kw"), edition.number("range_upper_kw")
    inside = sorted(unit.kw for unit in units if least < unit.kw <= most)
    outside = sorted(unit.kw for unit in units if not least < unit.kw <= most)
    section = edition.section("range-load")
    inside_kw = _smallest_way(inside, sheet=sheet, edition=edition) if inside else 0.0
    if outside:
        sheet.number("Cooking outside the table", _kw_sum(outside), fsum(outside), "kW", section, key="cooking_outside")
    return sheet.number(
        "Cooking",
        f"{plain(inside_kw)} kW + {plain(fsum(outside))} kW" if outside else f"{plain(inside_kw)} kW x 1,000",
        (inside_kw + fsum(outside)) * 1000,
        "VA",
        section,
        key="cooking",
    )


def _smallest_way(ratings_kw: Sequence[float], *, sheet: WorksheetWriter, edition: Edition) -> float:
    ways = [_column_c(ratings_kw, edition=edition)]
    if ratings_kw[0] <= edition.number("range_column_b_to_kw"):
        ways.append(_columns_a_and_b(ratings_kw, edition=edition))
    ways.append(_Way("cooking_nameplate", "Nameplates, no table", _kw_sum(ratings_kw), fsum(ratings_kw), ""))
    section = edition.table("range_demand").section
    for way in ways:
        sheet.number(way.what, way.working, way.kw, "kW", section, key=way.key, confirmed=way.confirmed)
    chosen = min(ways, key=lambda way: way.kw)
    return sheet.number(
        "Smallest permitted", f"{chosen.what.lower()}", chosen.kw, "kW", section, key="cooking_smallest"
    )


def column_c(ratings_kw: Sequence[float], *, edition: Edition) -> Cited:
    """Column C of the cooking table with notes 1 and 2, for units within the table's limits. [kW]

    Ratings below the column's upper rating count as that rating in the average; each kW, or major fraction, by which
    the average is over it raises the demand.
    """
    way = _column_c(ratings_kw, edition=edition)
    return Cited(way.kw, "kW", edition.table("range_demand").section, way.confirmed)


def _column_c(ratings_kw: Sequence[float], *, edition: Edition) -> _Way:
    count = len(ratings_kw)
    base, words, confirmed = _column_c_base(count, edition=edition)
    limit = edition.number("range_column_c_max_kw")
    average = fsum(max(kw, limit) for kw in ratings_kw) / count
    steps = floor(round(average - limit, 6) + 0.5)
    if not steps:
        return _Way("cooking_column_c", f"Column C, {count} unit{'s' * (count > 1)}", words, base, confirmed)
    percent = edition.number("range_increase_percent")
    working = f"{words} x (100 % + {steps} x {plain(percent)} %), average {plain(average)} kW"
    return _Way(
        "cooking_column_c",
        f"Column C, {count} unit{'s' * (count > 1)}",
        working,
        base * (1 + steps * percent / 100),
        confirmed,
    )


def _column_c_base(count: int, *, edition: Edition) -> tuple[float, str, str]:
    table = edition.table("range_demand")
    row = table.within("appliances_from", "appliances_to", count)
    if row["column_c_kw"] is not None:
        cell = table.cite(row, "column_c_kw")
        return cell.number, cell.text, cell.confirmed
    base, each = table.cite(row, "column_c_base_kw"), table.cite(row, "column_c_kw_per_range")
    return base.number + each.number * count, f"({base.text} + {count} x {each.text})", base.confirmed


def _columns_a_and_b(ratings_kw: Sequence[float], *, edition: Edition) -> _Way:
    a_below, b_to = edition.number("range_column_a_below_kw"), edition.number("range_column_b_to_kw")
    groups = (
        ("column_a_percent", [kw for kw in ratings_kw if kw < a_below]),
        ("column_b_percent", [kw for kw in ratings_kw if a_below <= kw <= b_to]),
    )
    table = edition.table("range_demand")
    demand, words, confirmed = 0.0, [], ""
    for column, group in groups:
        if group:
            percent = table.cite(table.within("appliances_from", "appliances_to", len(group)), column)
            demand += fsum(group) * percent.number / 100
            words.append(f"{_kw_sum(group)} x {percent.text}")
            confirmed = percent.confirmed
    larger = [kw for kw in ratings_kw if kw > b_to]
    if larger:
        rest = _column_c(larger, edition=edition)
        demand += rest.kw
        words.append(rest.working)
    return _Way("cooking_columns_a_b", "Columns A and B, note 3", " + ".join(words), demand, confirmed)


def one_circuit_units(cooktop_kw: float, ovens_kw: Sequence[float], *, edition: Edition) -> Cited:
    """One cooktop and up to two wall ovens of one room on one branch circuit, taken as one range (note 4). [kW]"""
    return column_c([cooktop_kw + fsum(ovens_kw)], edition=edition)


def three_phase_column_c(most_between_two_phases: int, rating_kw: float, *, edition: Edition) -> Cited:
    """Ranges on a three-phase, four-wire supply: twice the most between any two phases, for all three phases. [kW]"""
    demand = column_c([rating_kw] * (2 * most_between_two_phases), edition=edition)
    return Cited(demand.number / 2 * 3, "kW", demand.section, demand.confirmed)


def _kw_sum(ratings_kw: Sequence[float]) -> str:
    if len(ratings_kw) > 8:
        return f"{plain(fsum(ratings_kw))} kW of {len(ratings_kw)}"
    words = " + ".join(plain(kw) for kw in ratings_kw)
    return f"({words}) kW" if len(ratings_kw) > 1 else f"{words} kW"
