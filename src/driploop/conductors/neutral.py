"""The grounded conductor: large enough for its load, for a fault, and for what it may have to ground."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.ampacity import Conditions, all_figures
from driploop.conductors.area import circular_mils, equal_in_other_metal, size_of_area
from driploop.conductors.choice import SizeChoice
from driploop.conductors.equipment_ground import table_egc
from driploop.conductors.sizing import NoConductorError
from driploop.editions import Edition
from driploop.installation.kinds import Metal
from driploop.installation.sizes import larger, rank
from driploop.worksheet import Cited, WorksheetWriter


@dataclass(frozen=True, slots=True)
class NeutralDuty:
    """What a grounded conductor must do.

    ``load_a`` is the neutral load of all sets [A], None when not known: then it is made as large as the line.
    ``service`` says it is ahead of the service disconnect; a feeder's has ``device_a`` ahead of it. [A]
    """

    load_a: float | None
    line_size: str
    line_metal: Metal
    service: bool
    device_a: float | None
    sets: int = 1


def grounded_minimum(line_size: str, *, line_metal: Metal, metal: Metal, edition: Edition, sets: int = 1) -> Cited:
    """Least grounded conductor of a service, by the largest line conductor.

    Args:
        line_size: of one line conductor of one set.
        line_metal: metal of the lines.
        metal: metal of the grounded conductor.
        edition: the code edition to ask.
        sets: parallel sets. With more than one, each in its own raceway or cable, the least parallel size binds.

    Raises:
        NotInTable: past the largest conductor of the tables.

    Source: the edition's table of grounded conductors and bonding jumpers.
    """
    table = edition.table("bonding_jumper")
    area = circular_mils(line_size, edition=edition).number
    row = table.at_least(f"{line_metal}_to_cmil", area)
    if row[metal] is not None:
        cited = table.cite(row, metal)
    else:
        percent = table.cite(row, "percent")
        equal = equal_in_other_metal(line_size, metal=line_metal, other=metal, edition=edition)
        share = circular_mils(equal, edition=edition).number * percent.number / 100
        cited = Cited(size_of_area(share, edition=edition), "", percent.section, percent.confirmed)
    if sets > 1:
        least = edition.value("parallel_minimum")
        return Cited(larger(str(cited.value), str(least.value)), "", cited.section, cited.confirmed)
    return cited


def write_neutral(
    writer: WorksheetWriter,
    duty: NeutralDuty,
    conditions: Conditions,
    *,
    edition: Edition,
    key: str = "neutral_size",
) -> str:
    """The lines that lead to the grounded conductor; the last one has the key. Returns the size."""
    metal = conditions.metal
    floors = [_by_load(writer, duty, conditions, edition=edition)]
    if duty.service:
        least = grounded_minimum(
            duty.line_size, line_metal=duty.line_metal, metal=metal, edition=edition, sets=duty.sets
        )
        writer.cite("Neutral, for fault current", f"by {duty.line_size} {duty.line_metal} lines", least)
        floors.append(str(least.value))
    elif duty.device_a is not None:
        least = table_egc(duty.device_a, metal, edition=edition)
        section = f"{edition.section('feeder-grounded-conductor')}, {least.section}"
        what, working = "Neutral, no smaller than a grounding conductor", f"{duty.device_a:g} A device, {metal}"
        writer.write(what, working, least.value, "", section, confirmed=least.confirmed)
        floors.append(str(least.value))
    if duty.sets > 1:
        floors.append(str(edition.value("parallel_minimum").value))
    size = max(floors, key=rank)
    working = "largest of the above"
    if metal == duty.line_metal and rank(size) > rank(duty.line_size):
        size, working = duty.line_size, "no larger than the line conductors"
    if duty.sets > 1:
        working += f"; each of {duty.sets} sets"
    section = edition.section("grounded-conductor-minimum" if duty.service else "feeder-grounded-conductor")
    writer.write("Neutral", working, size, "", section, key=key)
    return size


def _by_load(writer: WorksheetWriter, duty: NeutralDuty, conditions: Conditions, *, edition: Edition) -> str:
    section = edition.section("neutral-load")
    if duty.load_a is None:
        size = equal_in_other_metal(duty.line_size, metal=duty.line_metal, other=conditions.metal, edition=edition)
        writer.write("Neutral, for its load", "load not known: as large as the lines", size, "", section)
        return size
    for size, found in all_figures(conditions, edition=edition).items():
        if found.usable_a * duty.sets >= duty.load_a:
            working = f"{duty.load_a:.4g} A; {size} {conditions.metal} carries {found.usable_a * duty.sets:.4g} A"
            writer.write("Neutral, for its load", working, size, "", section)
            return size
    raise NoConductorError(f"No {conditions.metal} neutral of {edition.name} carries {duty.load_a:g} A; use more sets.")


def grounded_conductor(
    neutral_load_a: float,
    *,
    line_size: str,
    line_metal: Metal,
    metal: Metal,
    service: bool,
    edition: Edition,
    device_a: float | None = None,
    insulation_c: int,
    terminal_c: int,
    sets: int = 1,
    worksheet_id: str = "neutral",
) -> SizeChoice:
    """Smallest grounded conductor: for its load, and as the code's floor for a service or a feeder asks.

    Args:
        neutral_load_a: largest unbalanced load, all sets. [A]
        line_size: of one line conductor of one set.
        line_metal: metal of the lines.
        metal: metal of the grounded conductor.
        service: True ahead of the service disconnect (floor by the largest line conductor); False for a feeder
            (floor by its overcurrent device, so that it may also serve where it grounds by an old exception).
        edition: the code edition to ask.
        device_a: the feeder's overcurrent device. [A]
        insulation_c: temperature class of the conductors. [C]
        terminal_c: column of the terminals. [C]
        sets: parallel sets.
        worksheet_id: id of the worksheet.

    Returns:
        The size of one set's grounded conductor with its worksheet (line ``neutral_size``).

    Raises:
        NoConductorError: no conductor of the table carries the load.

    Source: the edition's rules on neutral load, on the grounded service conductor and on feeders.
    """
    conditions = Conditions(metal, insulation_c, terminal_c, edition.number("ambient_base_c"), 1)
    writer = WorksheetWriter(worksheet_id, "Grounded conductor")
    duty = NeutralDuty(neutral_load_a, line_size, line_metal, service, device_a, sets)
    size = write_neutral(writer, duty, conditions, edition=edition)
    return SizeChoice(size, metal, writer.done())
