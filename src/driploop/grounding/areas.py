"""Circular mils of the line conductors that grounding parts are sized by, parallel sets summed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from driploop.conductors.area import circular_mils
from driploop.editions import Edition
from driploop.installation.kinds import Metal
from driploop.worksheet import WorksheetWriter


@dataclass(frozen=True, slots=True)
class LineConductors:
    """The largest line conductor of a supply, or the equal area of its parallel sets.

    ``area_cmil`` is the sum over the sets; ``text`` says what was summed, as a worksheet prints it.
    """

    metal: Metal
    area_cmil: float
    text: str


def line_conductors(size: str, metal: Metal, *, sets: int = 1, edition: Edition) -> LineConductors:
    """One line's conductors as grounding parts see them: the areas of its parallel sets added up.

    Args:
        size: of one conductor.
        metal: of the conductor.
        sets: conductors in parallel to one line.
        edition: the code edition to ask.

    Raises:
        NotInTable: no such size.
    """
    area = circular_mils(size, edition=edition).number
    text = f"{size} {metal}" if sets == 1 else f"{sets} sets of {size} {metal}"
    return LineConductors(metal, area * sets, text)


def together(parts: Sequence[LineConductors]) -> LineConductors:
    """Several sets of service conductors as one area.

    Metals that differ are all read as copper: a copper area asks for the larger part, so that is the safe side.

    Raises:
        ValueError: no parts.
    """
    if not parts:
        raise ValueError("no conductors to add up; give at least one set")
    metals = {part.metal for part in parts}
    metal: Metal = "aluminum" if metals == {"aluminum"} else "copper"
    return LineConductors(metal, sum(part.area_cmil for part in parts), " + ".join(part.text for part in parts))


def asks_for_more(one: LineConductors, other: LineConductors, *, edition: Edition) -> bool:
    """Whether the first lines ask for larger grounding parts than the second, whatever their metals.

    Lines of one metal are weighed by their areas; of two metals by the rows of the table of bonding jumpers, whose
    steps are those of the electrode conductors, and past its last size by the areas in proportion to it.
    """
    if one.metal == other.metal:
        return one.area_cmil > other.area_cmil
    return _weight(one, edition) > _weight(other, edition)


def _weight(lines: LineConductors, edition: Edition) -> tuple[int, float]:
    column = f"{lines.metal}_to_cmil"
    table = edition.table("bonding_jumper")
    limits = [float(cell) for cell in table.column(column) if isinstance(cell, (int, float))]
    row = sum(limit < lines.area_cmil for limit in limits)
    return row, lines.area_cmil / limits[-1] if row == len(limits) else 0.0


def write_lines(writer: WorksheetWriter, lines: LineConductors, *, edition: Edition) -> None:
    """Open a worksheet with the line conductors and their area."""
    section = edition.section("conductor_properties")
    writer.number("Area of the lines, sets added up", lines.text, lines.area_cmil, "cmil", section, key="lines")
