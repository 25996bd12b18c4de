"""What one conductor may carry under its conditions: table value, ambient correction, adjustment, terminals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from driploop.conductors.area import by_size
from driploop.conductors.insulation import insulation_class, unknown_insulation
from driploop.conductors.results import Ampacity
from driploop.editions import Edition
from driploop.installation.model import Metal
from driploop.installation.sizes import rank
from driploop.worksheet import Cited, WorksheetWriter


@dataclass(frozen=True, slots=True)
class CableLimit:
    """A cable's own temperature limit: its ampacity stays within this column whatever its insulation.

    ``largest`` is the last size the limit binds, None for all.
    """

    temperature_c: int
    section: str
    largest: str | None = None

    def binds(self, size: str) -> bool:
        """Whether the limit holds for a conductor of this size."""
        return self.largest is None or rank(size) <= rank(self.largest)


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a conductor meets on its way and at its ends. Temperatures in C."""

    metal: Metal
    insulation_c: int
    terminal_c: int
    ambient_c: float
    current_carrying: int
    limit: CableLimit | None = None

    def end_c(self, size: str) -> int:
        """The column that terminals, or the cable's own limit, allow for this size. [C]"""
        if self.limit is not None and self.limit.binds(size):
            return min(self.terminal_c, self.limit.temperature_c)
        return self.terminal_c


@dataclass(frozen=True, slots=True)
class Figures:
    """The numbers behind one ampacity. ``usable_a`` is the smaller of ``corrected_a`` and the end's column. [A]"""

    base: Cited
    ambient_factor: Cited
    adjustment_percent: Cited
    corrected_a: float
    end: Cited
    end_c: int
    usable_a: float

    @property
    def reduced(self) -> bool:
        """Whether ambient or number of conductors reduces the table value."""
        return self.ambient_factor.number < 1 or self.adjustment_percent.number < 100


def ambient_factor(ambient_c: float, insulation_c: int, *, edition: Edition) -> Cited:
    """Correction factor of an insulation class at an ambient temperature; both in C.

    An ambient between two printed ranges takes the hotter. Raises NotInTable where the insulation may not be used.
    """
    table = edition.table("ambient_correction")
    return table.cite(table.at_least("ambient_to_c", ambient_c), f"factor_{insulation_c}c")


def adjustment_percent(current_carrying: int, *, edition: Edition) -> Cited:
    """Share of the ampacity that is left with so many current-carrying conductors together. [percent]"""
    table = edition.table("conductor_adjustment")
    return table.cite(table.within("conductors_from", "conductors_to", current_carrying), "percent")


def figures(size: str, conditions: Conditions, *, edition: Edition) -> Figures:
    """The numbers of one conductor. Raises NotInTable where the table has no value for size, metal and class."""
    return _figures(size, conditions, _factors(conditions, edition=edition), edition=edition)


@lru_cache(maxsize=256)
def all_figures(conditions: Conditions, *, edition: Edition) -> Mapping[str, Figures]:
    """The numbers of every size the table has for these conditions, smallest first.

    Raises NotInTable where the insulation may not be used at the ambient.
    """
    factors = _factors(conditions, edition=edition)
    ends = by_size(edition, "conductor_ampacity", f"{conditions.metal}_{conditions.terminal_c}c")
    bases = by_size(edition, "conductor_ampacity", f"{conditions.metal}_{conditions.insulation_c}c")
    sizes = (size for size in bases if size in ends)
    return MappingProxyType({size: _figures(size, conditions, factors, edition=edition) for size in sizes})


def _factors(conditions: Conditions, *, edition: Edition) -> tuple[Cited, Cited]:
    ambient = ambient_factor(conditions.ambient_c, conditions.insulation_c, edition=edition)
    return ambient, adjustment_percent(conditions.current_carrying, edition=edition)


def _figures(size: str, conditions: Conditions, factors: tuple[Cited, Cited], *, edition: Edition) -> Figures:
    end_c = conditions.end_c(size)
    base = _cell(size, conditions.metal, conditions.insulation_c, edition)
    end = _cell(size, conditions.metal, end_c, edition)
    corrected = base.number * factors[0].number * factors[1].number / 100
    return Figures(base, *factors, corrected, end, end_c, min(corrected, end.number))


def _cell(size: str, metal: Metal, temperature_c: int, edition: Edition) -> Cited:
    column = f"{metal}_{temperature_c}c"
    found = by_size(edition, "conductor_ampacity", column).get(size)
    return found or edition.table("conductor_ampacity").cell(column, size=size)


def write_figures(
    writer: WorksheetWriter, size: str, conditions: Conditions, found: Figures, *, edition: Edition
) -> None:
    """The lines of one ampacity: table value, factors where they reduce, end of the conductor, what is usable."""
    metal = conditions.metal
    writer.cite("Table ampacity", f"{size} {metal}, {conditions.insulation_c} C insulation", found.base)
    if found.ambient_factor.number != 1:
        writer.cite("Ambient correction", f"{conditions.ambient_c:g} C", found.ambient_factor)
    if found.adjustment_percent.number != 100:
        working = f"{conditions.current_carrying} current-carrying conductors together"
        writer.cite("Adjustment", working, found.adjustment_percent)
    if found.ambient_factor.number != 1 or found.adjustment_percent.number != 100:
        working = f"{found.base.number:g} x {found.ambient_factor.number:g} x {found.adjustment_percent.number:g} %"
        writer.number("Corrected ampacity", working, found.corrected_a, "A", edition.section("conductor-adjustment"))
    bound = conditions.limit is not None and found.end_c < conditions.terminal_c
    limited_by = "cable" if bound else "terminals"
    section = conditions.limit.section if bound and conditions.limit else edition.section("terminal-temperature")
    end = Cited(found.end.value, found.end.unit, section, found.end.confirmed)
    writer.cite(f"Limit of the {limited_by}", f"{size} {metal}, {found.end_c} C column", end)
    working = f"smaller of {found.corrected_a:g} and {found.end.number:g}"
    writer.number("Usable ampacity", working, found.usable_a, "A", section, key="ampacity")


def ampacity(
    size: str,
    *,
    metal: Metal,
    insulation: str | None,
    terminal_c: int,
    edition: Edition,
    wet: bool = False,
    ambient_c: float | None = None,
    current_carrying: int = 1,
    limit: CableLimit | None = None,
    worksheet_id: str = "ampacity",
) -> Ampacity:
    """Allowable current of one conductor of a raceway, cable or trench under its conditions of use.

    Args:
        size: as the tables write it, "4 AWG", "2/0 AWG", "250 kcmil".
        metal: "copper" or "aluminum".
        insulation: its marking, None when unknown: the lowest class is then taken and said.
        terminal_c: column its terminals allow. [C] 60 or 75; see ``terminals.terminal_temperature``.
        edition: the code edition to ask.
        wet: whether it runs in a wet place.
        ambient_c: of the hottest place along its way. [C] None: the temperature the table stands on.
        current_carrying: conductors that carry current together in the raceway or cable.
        limit: a cable's own limit (NM, UF, SE in thermal insulation).
        worksheet_id: id of the worksheet.

    Returns:
        Corrected and usable ampacity [A] with the worksheet.

    Raises:
        NotInTable: no such size for the metal and class, or the insulation may not be used at the ambient.

    Source: the edition's ampacity table, its correction and adjustment tables, and its rule on terminals.
    """
    conditions = Conditions(
        metal=metal,
        insulation_c=insulation_class(insulation, wet=wet),
        terminal_c=terminal_c,
        ambient_c=edition.number("ambient_base_c") if ambient_c is None else ambient_c,
        current_carrying=current_carrying,
        limit=limit,
    )
    found = figures(size, conditions, edition=edition)
    writer = WorksheetWriter(worksheet_id, f"Ampacity of {size} {metal}")
    write_figures(writer, size, conditions, found, edition=edition)
    return Ampacity(
        size=size,
        metal=metal,
        insulation_c=conditions.insulation_c,
        terminal_c=found.end_c,
        corrected_a=found.corrected_a,
        usable_a=found.usable_a,
        worksheet=writer.done(),
        assumptions=() if insulation else (unknown_insulation("insulation"),),
    )
