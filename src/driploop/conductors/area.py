"""Conductors by size: the code's columns as look-ups, circular mils, the size of an area, the other metal's equal."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from driploop.editions import Edition, NotInTable
from driploop.installation.kinds import Metal
from driploop.installation.sizes import rank
from driploop.worksheet import Cited


@lru_cache(maxsize=128)
def by_size(edition: Edition, table: str, column: str) -> Mapping[str, Cited]:
    """One column of a table keyed by conductor size, blanks left out, smallest size first."""
    whole = edition.table(table)
    rows = {str(row["size"]): whole.cite(row, column) for row in whole.rows if row[column] is not None}
    return MappingProxyType(dict(sorted(rows.items(), key=lambda item: rank(item[0]))))


def circular_mils(size: str, *, edition: Edition) -> Cited:
    """Cross-section of a conductor. [cmil]

    Raises NotInTable for a size the table does not have. Source: the edition's table of conductor properties.
    """
    found = by_size(edition, "conductor_properties", "circular_mils").get(size)
    return found or edition.table("conductor_properties").cell("circular_mils", size=size)


def size_of_area(area_cmil: float, *, edition: Edition) -> str:
    """Smallest size with at least this cross-section [cmil].

    Raises NotInTable when the largest size is smaller. Source: the edition's table of conductor properties.
    """
    for size, area in by_size(edition, "conductor_properties", "circular_mils").items():
        if area.number >= area_cmil:
            return size
    raise NotInTable(f"{area_cmil:,.0f} circular mils is more than the largest conductor of {edition.name}; use sets.")


def equal_in_other_metal(size: str, *, metal: Metal, other: Metal, edition: Edition) -> str:
    """Smallest conductor of ``other`` metal that carries as much as ``size`` of ``metal``.

    Compared in the column of large terminals of the ampacity table. Returns ``size`` itself when the metals are one.
    """
    if metal == other:
        return size
    column = f"{edition.number('large_terminal_temperature_c'):.0f}c"
    carried = edition.table("conductor_ampacity").cell(f"{metal}_{column}", size=size).number
    for candidate, ampacity in by_size(edition, "conductor_ampacity", f"{other}_{column}").items():
        if ampacity.number >= carried:
            return candidate
    raise NotInTable(f"no {other} conductor of {edition.name} carries as much as {size} {metal}; use parallel sets.")
