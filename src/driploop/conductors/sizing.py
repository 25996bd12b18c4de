"""The smallest conductor for a load and its overcurrent device."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from driploop.conductors.ampacity import CableLimit, Conditions, Figures, all_figures, write_figures
from driploop.conductors.choice import SizeChoice
from driploop.conductors.dwelling import (
    Condition,
    dwelling_service_conductor,
    required_ampacity,
    rule_conditions,
    table_conditions,
    table_has,
)
from driploop.conductors.insulation import insulation_class, unknown_insulation
from driploop.conductors.overcurrent import device_for_conductor
from driploop.conductors.results import ConductorChoice
from driploop.conductors.terminals import Terminal, terminal_temperature
from driploop.editions import Edition, NotInTable
from driploop.installation.kinds import Metal
from driploop.installation.sizes import rank
from driploop.worksheet import DriploopError, WorksheetWriter


class NoConductorError(DriploopError):
    """No single conductor of the tables is large enough."""


@dataclass(frozen=True, slots=True)
class Duty:
    """What a set of line conductors must do.

    ``device_a`` is the overcurrent device that must protect them, None where none has to (several mains that together
    may exceed the ampacity). ``dwelling_rating_a`` is the rating for the dwelling rule, None where it does not hold.
    ``smallest`` is a floor the code sets by itself. Currents in A for all sets together.
    """

    load_a: float
    device_a: float | None
    dwelling_rating_a: float | None = None
    sets: int = 1
    smallest: str | None = None


@dataclass(frozen=True, slots=True)
class Chosen:
    """The size, its numbers, and by which of the code's two ways. ``ampacity_a`` is that of all sets. [A]"""

    size: str
    figures: Figures
    basis: Literal["dwelling table", "ampacity"]
    ampacity_a: float
    by_table: bool = False


def choose(duty: Duty, conditions: Conditions, *, edition: Edition) -> Chosen:
    """The smallest size that does its duty. Raises NoConductorError when none does."""
    sizes = all_figures(conditions, edition=edition)
    for size, found in sizes.items():
        if duty.smallest is not None and rank(size) < rank(duty.smallest):
            continue
        if duty.sets > 1 and rank(size) < rank(str(edition.value("parallel_minimum").value)):
            continue
        if serves(size, found, duty, conditions.metal, edition=edition):
            return _chosen(size, duty, conditions, sizes, edition=edition)
    raise NoConductorError(
        f"No {conditions.metal} conductor of {edition.name} serves {duty.load_a:,.0f} A behind "
        f"{duty.device_a or duty.load_a:,.0f} A in {duty.sets} set(s). Use more parallel sets, or a smaller device."
    )


def serves(size: str, found: Figures, duty: Duty, metal: Metal, *, edition: Edition) -> bool:
    """Whether conductors of this size do their duty, by the dwelling rule where it holds, else by ampacity."""
    return not shortfalls(size, found, duty, metal, edition=edition)


def shortfalls(size: str, found: Figures, duty: Duty, metal: Metal, *, edition: Edition) -> tuple[str, ...]:
    """In plain words, each way in which conductors of this size fall short of their duty; empty when they serve."""
    ampacity_a = found.usable_a * duty.sets
    if duty.dwelling_rating_a is not None:
        needed = required_ampacity(duty.dwelling_rating_a, edition=edition)
        if ampacity_a + _ROUNDING >= needed.number:
            return ()
    short = []
    if ampacity_a + _ROUNDING < duty.load_a:
        short.append(f"{size} {metal} carries {ampacity_a:.4g} A, less than the {duty.load_a:.4g} A it must")
    if duty.device_a is not None:
        try:
            allowed = device_for_conductor(size, metal, ampacity_a, edition=edition).number
        except NotInTable:
            allowed = 0.0
        if duty.device_a > allowed:
            short.append(
                f"the {duty.device_a:g} A device is larger than {size} {metal} allows: "
                f"{ampacity_a:.4g} A, at most a {allowed:g} A device"
            )
    return tuple(short)


_ROUNDING = 1e-6


def _chosen(size: str, duty: Duty, conditions: Conditions, sizes: Mapping[str, Figures], *, edition: Edition) -> Chosen:
    found = sizes[size]
    rating_a = duty.dwelling_rating_a
    if rating_a is None:
        return Chosen(size, found, "ampacity", found.usable_a * duty.sets)
    holds = all(c.holds for c in table_conditions(conditions, found, sets=duty.sets, edition=edition))
    if not holds or not table_has(rating_a, edition=edition):
        return Chosen(size, found, "dwelling table", found.usable_a * duty.sets)
    listed = str(dwelling_service_conductor(rating_a, conditions.metal, edition=edition).value)
    # Another floor, that of overhead service conductors for one, may already ask for more than the table.
    if rank(listed) < rank(size):
        listed = size
    return Chosen(listed, sizes[listed], "dwelling table", sizes[listed].usable_a, by_table=True)


def write_choice(
    writer: WorksheetWriter,
    chosen: Chosen,
    duty: Duty,
    conditions: Conditions,
    *,
    edition: Edition,
    key: str = "line_size",
) -> None:
    """The lines that lead to the line conductors; the last one has the key."""
    write_figures(writer, chosen.size, conditions, chosen.figures, edition=edition)
    what = "Line conductors" if duty.sets == 1 else f"Line conductors, each of {duty.sets} sets"
    if duty.sets > 1:
        working = f"{duty.sets} x {chosen.figures.usable_a:g}"
        section = edition.section("parallel-conductors")
        writer.number("Ampacity of all sets", working, chosen.ampacity_a, "A", section)
    if duty.dwelling_rating_a is not None and chosen.basis == "dwelling table":
        share = edition.value("dwelling_service_percent")
        needed = required_ampacity(duty.dwelling_rating_a, edition=edition)
        working = f"{share.number:g} % x {duty.dwelling_rating_a:g} A, whole load of one dwelling"
        writer.cite("Least ampacity", working, needed)
        if chosen.by_table:
            cited = dwelling_service_conductor(duty.dwelling_rating_a, conditions.metal, edition=edition)
            working = f"{duty.dwelling_rating_a:g} A, {conditions.metal}"
            if cited.value != chosen.size:
                working += f"; table {cited.value}, raised to the least size allowed"
            writer.write(what, working, chosen.size, "", cited.section, key=key, confirmed=cited.confirmed)
            return
        working = f"smallest {conditions.metal} with {needed.number:g} A"
        writer.write(what, working, chosen.size, "", needed.section, key=key, confirmed=needed.confirmed)
        return
    if duty.device_a is not None:
        allowed = device_for_conductor(chosen.size, conditions.metal, chosen.ampacity_a, edition=edition)
        writer.cite("Largest device it allows", f"{chosen.size} {conditions.metal}, {chosen.ampacity_a:g} A", allowed)
    device = f", protected by {duty.device_a:g} A" if duty.device_a is not None else ""
    working = f"smallest {conditions.metal} for {duty.load_a:.4g} A{device}"
    table = edition.section("conductor_ampacity")
    writer.write(what, working, chosen.size, "", table, key=key, confirmed=chosen.figures.base.confirmed)


def write_conditions(writer: WorksheetWriter, conditions: tuple[Condition, ...], *, edition: Edition) -> None:
    """One line for each condition of the dwelling rule, with yes or no."""
    section = edition.section("dwelling-table-scope")
    for condition in conditions:
        answer = "yes" if condition.holds else "no"
        writer.write(f"Dwelling rule: {condition.asks}", condition.why, answer, "", section)


def conductor_for_rating(
    rating_a: float,
    load_a: float,
    *,
    metal: Metal,
    insulation: str | None,
    edition: Edition,
    whole_dwelling: bool = False,
    terminal_c: int | None = None,
    wet: bool = False,
    ambient_c: float | None = None,
    current_carrying: int = 1,
    sets: int = 1,
    limit: CableLimit | None = None,
    worksheet_id: str = "conductor",
) -> ConductorChoice:
    """Smallest line conductor for a load behind an overcurrent device of this rating.

    Args:
        rating_a: rating of the overcurrent device. [A]
        load_a: what the conductors must carry, continuous load at its percentage. [A]
        metal: "copper" or "aluminum".
        insulation: its marking, None when unknown.
        edition: the code edition to ask.
        whole_dwelling: whether they carry the entire load of one dwelling on a single-phase system, and nothing else;
            the dwelling rule is then used where its other conditions hold.
        terminal_c: column its terminals allow [C]; None: what the rating alone allows.
        wet: whether they run in a wet place.
        ambient_c: of the hottest place along the way [C]; None: what the table stands on.
        current_carrying: conductors that carry current together in the raceway or cable.
        sets: parallel sets; the size is that of each.
        limit: a cable's own limit (NM, UF, SE in thermal insulation).
        worksheet_id: id of the worksheet.

    Returns:
        The size, the way it was found, its ampacity [A, all sets] and the worksheet (line ``line_size``).

    Raises:
        NoConductorError: no conductor of the table is large enough for so few sets.
        NotInTable: the insulation may not be used at the ambient.

    Source: the edition's rules on ampacity, terminals, protection of conductors and dwelling services.
    """
    conditions = Conditions(
        metal=metal,
        insulation_c=insulation_class(insulation, wet=wet),
        terminal_c=terminal_c or terminal_temperature(rating_a, (Terminal("ends"),), edition=edition).temperature_c,
        ambient_c=edition.number("ambient_base_c") if ambient_c is None else ambient_c,
        current_carrying=current_carrying,
        limit=limit,
    )
    rule = rule_conditions(rating_a, whole_dwelling=whole_dwelling, edition=edition)
    dwelling_rating_a = rating_a if all(c.holds for c in rule) and load_a <= rating_a else None
    duty = Duty(load_a, rating_a, dwelling_rating_a, sets)
    chosen = choose(duty, conditions, edition=edition)
    writer = WorksheetWriter(worksheet_id, f"Line conductors for {rating_a:g} A")
    writer.number("Load", "given", load_a, "A", key="load")
    writer.number("Overcurrent device", "given", rating_a, "A", key="device")
    if whole_dwelling:
        write_conditions(writer, rule, edition=edition)
    write_choice(writer, chosen, duty, conditions, edition=edition)
    return ConductorChoice(
        size=chosen.size,
        metal=metal,
        basis=chosen.basis,
        ampacity_a=chosen.ampacity_a,
        ocpd_a=rating_a,
        worksheet=writer.done(),
        assumptions=() if insulation else (unknown_insulation("insulation"),),
    )


def conductor_for_load(
    load_a: float,
    *,
    metal: Metal,
    insulation: str | None,
    terminal_c: int,
    edition: Edition,
    worksheet_id: str = "conductor",
) -> SizeChoice:
    """Smallest conductor that carries a load whose protection is sized by other rules, as that of motors is.

    Args:
        load_a: what it must carry, already at its percentage. [A]
        metal: "copper" or "aluminum".
        insulation: its marking, None when unknown.
        terminal_c: column its terminals allow. [C]
        edition: the code edition to ask.
        worksheet_id: id of the worksheet.

    Raises:
        NoConductorError: no conductor of the table is large enough.

    Source: the edition's ampacity table and its rule on terminals.
    """
    ambient_c = edition.number("ambient_base_c")
    conditions = Conditions(metal, insulation_class(insulation, wet=False), terminal_c, ambient_c, 1)
    duty = Duty(load_a, None)
    chosen = choose(duty, conditions, edition=edition)
    writer = WorksheetWriter(worksheet_id, f"Conductor for {load_a:g} A")
    write_choice(writer, chosen, duty, conditions, edition=edition)
    assumed = () if insulation else (unknown_insulation("insulation"),)
    return SizeChoice(chosen.size, metal, writer.done(), assumed)
