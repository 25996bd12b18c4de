"""Bonding jumpers from plain numbers: main, supply-side, piping and steel."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.area import size_of_area
from driploop.editions import Edition, Table
from driploop.editions.table import Row
from driploop.grounding.areas import LineConductors, line_conductors, write_lines
from driploop.installation.kinds import Metal
from driploop.installation.sizes import rank
from driploop.worksheet import Cited, Worksheet, WorksheetWriter

KEY = "jumper"
_OTHER: dict[Metal, Metal] = {"copper": "aluminum", "aluminum": "copper"}


@dataclass(frozen=True, slots=True)
class JumperSize:
    """Smallest jumper in the metal asked for and in the other, with its worksheet.

    The worksheet's line ``jumper`` holds ``size``. ``other_metal_size`` is None where the code names one metal only.
    """

    size: str
    metal: Metal
    other_metal_size: str | None
    section: str
    worksheet: Worksheet


def main_bonding_jumper(
    line_size: str, line_metal: Metal, *, edition: Edition, sets: int = 1, metal: Metal = "copper"
) -> JumperSize:
    """Smallest jumper between neutral and enclosure in a service disconnect, where the maker's own is not used.

    Args:
        line_size: largest ungrounded service conductor.
        line_metal: its metal.
        edition: the code edition to ask.
        sets: conductors in parallel.
        metal: of the jumper.

    Raises:
        NotInTable: ``line_size`` is no size of the tables.

    Source:
        The edition's table of bonding jumpers.
    """
    lines = line_conductors(line_size, line_metal, sets=sets, edition=edition)
    return bonding_jumper(
        lines, id="grounding/main-bonding-jumper", title="Main bonding jumper", metal=metal, edition=edition
    )


def supply_side_bonding_jumper(
    line_size: str, line_metal: Metal, *, edition: Edition, sets: int = 1, metal: Metal = "copper"
) -> JumperSize:
    """Smallest jumper for metal on the line side of the service disconnect. Arguments as ``main_bonding_jumper``.

    For a jumper that serves one raceway of several give the one set in it; for one that serves all, give all sets.
    """
    lines = line_conductors(line_size, line_metal, sets=sets, edition=edition)
    return bonding_jumper(
        lines,
        id="grounding/supply-side-bonding-jumper",
        title="Supply-side bonding jumper",
        metal=metal,
        edition=edition,
    )


def water_piping_bond(
    line_size: str, line_metal: Metal, *, edition: Edition, sets: int = 1, metal: Metal = "copper"
) -> JumperSize:
    """Smallest bond of metal water piping or of structural steel, with its upper limit.

    Arguments as ``main_bonding_jumper``.
    """
    lines = line_conductors(line_size, line_metal, sets=sets, edition=edition)
    return piping_bond(
        lines, id="grounding/water-piping-bond", title="Metal water piping bond", metal=metal, edition=edition
    )


def bonding_jumper(
    lines: LineConductors, *, id: str, title: str, edition: Edition, metal: Metal = "copper", section: str = ""
) -> JumperSize:
    """A jumper by the table of bonding jumpers, from line conductors already added up.

    Args:
        lines: the line conductors.
        id: of the worksheet.
        title: of the worksheet.
        edition: the code edition to ask.
        metal: of the jumper.
        section: that calls for the jumper; "" = the table's.
    """
    writer = WorksheetWriter(id, title)
    write_lines(writer, lines, edition=edition)
    chosen, other = (_by_table(lines, m, edition) for m in (metal, _OTHER[metal]))
    return _answer(writer, lines, chosen, other, metal, section)


def piping_bond(
    lines: LineConductors, *, id: str, title: str, edition: Edition, metal: Metal = "copper", section: str = ""
) -> JumperSize:
    """As ``bonding_jumper``, never larger than the code asks of piping and steel."""
    writer = WorksheetWriter(id, title)
    write_lines(writer, lines, edition=edition)
    copper, aluminum = (_by_table(lines, m, edition) for m in ("copper", "aluminum"))
    limit = edition.value("water_piping_bond_maximum")
    # The same row as the limit in the electrode conductor table gives its aluminum.
    aluminum_limit = edition.table("grounding_electrode_conductor").cell("aluminum", copper=str(limit.value))
    copper, aluminum = _at_most(copper, limit), _at_most(aluminum, aluminum_limit)
    chosen, other = (copper, aluminum) if metal == "copper" else (aluminum, copper)
    return _answer(writer, lines, chosen, other, metal, section)


def _at_most(size: Cited, limit: Cited) -> Cited:
    return limit if rank(str(size.value)) > rank(str(limit.value)) else size


def _answer(
    writer: WorksheetWriter, lines: LineConductors, chosen: Cited, other: Cited, metal: Metal, section: str
) -> JumperSize:
    working = f"for {lines.area_cmil:,.0f} cmil of {lines.metal}"
    writer.cite(f"{writer.title}, {metal}", working, chosen, key=KEY)
    writer.cite(f"or in {_OTHER[metal]}", working, other, key=f"{KEY} {_OTHER[metal]}")
    return JumperSize(str(chosen.value), metal, str(other.value), section or chosen.section, writer.done())


def _by_table(lines: LineConductors, metal: Metal, edition: Edition) -> Cited:
    table = edition.table("bonding_jumper")
    row = table.at_least(f"{lines.metal}_to_cmil", lines.area_cmil)
    if row["percent"] is None:
        return table.cite(row, metal)
    area = _equal_area(table, lines, metal) * table.cite(row, "percent").number / 100
    return Cited(size_of_area(area, edition=edition), "", table.section, str(row["confirmed"]))


def _equal_area(table: Table, lines: LineConductors, metal: Metal) -> float:
    """The line conductors' area in the jumper's metal: in the proportion of the table's last sized row."""
    if lines.metal == metal:
        return lines.area_cmil
    last: Row = [row for row in table.rows if row["percent"] is None][-1]
    ratio = table.cite(last, f"{metal}_to_cmil").number / table.cite(last, f"{lines.metal}_to_cmil").number
    return lines.area_cmil * ratio
