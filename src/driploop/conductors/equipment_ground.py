"""The equipment grounding conductor: by the device ahead of it, and in step when the lines are made larger."""

from __future__ import annotations

from driploop.conductors.area import circular_mils, size_of_area
from driploop.conductors.choice import SizeChoice
from driploop.editions import Edition
from driploop.installation.kinds import Metal
from driploop.installation.sizes import rank
from driploop.worksheet import Cited, WorksheetWriter


def table_egc(ocpd_a: float, metal: Metal, *, edition: Edition) -> Cited:
    """Equipment grounding conductor by the rating of the overcurrent device [A] alone.

    Raises NotInTable past the largest rating. Source: the edition's table of equipment grounding conductors.
    """
    table = edition.table("equipment_grounding_conductor")
    return table.cite(table.at_least("ocpd_to_a", ocpd_a), metal)


def write_egc(
    writer: WorksheetWriter,
    ocpd_a: float,
    metal: Metal,
    *,
    edition: Edition,
    upsized: tuple[str, str] | None = None,
    line_metal: Metal | None = None,
    sets: int = 1,
) -> str:
    """The lines that lead to the equipment grounding conductor; the last is keyed ``egc_size``. Returns the size."""
    by_device = table_egc(ocpd_a, metal, edition=edition)
    size, section = str(by_device.value), by_device.section
    working = f"{ocpd_a:g} A device, {metal}"
    if upsized is not None and rank(upsized[1]) > rank(upsized[0]):
        writer.cite("Equipment ground by the device", working, by_device)
        minimum, installed = (circular_mils(line, edition=edition).number for line in upsized)
        ratio = installed / minimum
        section = edition.section("egc-upsized")
        writer.number("Lines made larger by", f"{installed:,.0f} / {minimum:,.0f} cmil", ratio, "", section)
        own = circular_mils(size, edition=edition).number
        needed = own * ratio
        writer.number("Equipment ground in step", f"{own:,.0f} cmil x {ratio:.4g}", needed, "cmil", section)
        # A shaving of rounding must not cost a size.
        size = size_of_area(needed * (1 - 1e-9), edition=edition)
        working = f"smallest {metal} with {needed:,.0f} cmil"
        if line_metal == metal and rank(size) > rank(upsized[1]):
            size, working = upsized[1], "no larger than the line conductors"
    if sets > 1:
        working += f"; the full size with each of {sets} sets"
    writer.write("Equipment ground", working, size, "", section, key="egc_size", confirmed=by_device.confirmed)
    return size


def equipment_grounding_conductor(
    ocpd_a: float,
    metal: Metal,
    *,
    edition: Edition,
    upsized: tuple[str, str] | None = None,
    line_metal: Metal | None = None,
    sets: int = 1,
    worksheet_id: str = "equipment-ground",
) -> SizeChoice:
    """Smallest wire that serves as equipment grounding conductor.

    Args:
        ocpd_a: overcurrent device ahead of it. [A]
        metal: "copper" or "aluminum".
        edition: the code edition to ask.
        upsized: (smallest line conductor that would serve, line conductor installed); the grounding conductor grows in
            the ratio of their circular mils. None: the lines are no larger than needed.
        line_metal: metal of the lines; where it is the same, the result is never larger than they are.
        sets: parallel sets in separate raceways or cables: each carries the full size.
        worksheet_id: id of the worksheet.

    Returns:
        The size with its worksheet (line ``egc_size``).

    Raises:
        NotInTable: the device is past the table, or the grown conductor past the largest size.

    Source: the edition's table of equipment grounding conductors and its rule on larger line conductors.
    """
    writer = WorksheetWriter(worksheet_id, f"Equipment grounding conductor, {ocpd_a:g} A")
    size = write_egc(writer, ocpd_a, metal, edition=edition, upsized=upsized, line_metal=line_metal, sets=sets)
    return SizeChoice(size, metal, writer.done())
