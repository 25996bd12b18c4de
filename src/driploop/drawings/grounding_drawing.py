"""The grounding drawing: bars, bonds, electrodes and every conductor between them, so that a fault can be followed."""

from __future__ import annotations

from collections.abc import Mapping

from driploop.drawings import ground_cells, legend, words
from driploop.drawings.display import BODY, PORTRAIT, Drawing, Item, text_width, wrap
from driploop.drawings.frames import arrivals, draw_frame, draw_stub, frame_title, sheet_numbers, sheet_words, supplies
from driploop.drawings.ground_cells import GroundCell, Ladder, Leaving, Rung
from driploop.drawings.layout import Block, Placed, Sheet, lay_out
from driploop.drawings.sheets import finished, room_taken
from driploop.grounding.results import ElectrodeConductor, Jumper
from driploop.installation import UTILITY
from driploop.installation.kinds import Metal
from driploop.installation.model import Run
from driploop.rules.readings import Readings

FAULT_PATH = (
    "Follow a fault: from the enclosure along the equipment ground (dashed) back to the enclosure where neutral and "
    "ground are joined, over that joint to the neutral, and on the neutral to the transformer. The earth and its "
    "electrodes are no part of that path; they hold the metal near the voltage of the ground."
)
#: Words beside an electrode are this wide. [pt]
RUNG_WIDTH = 140.0
#: Jumpers that are drawn as the joint of the two bars itself.
JOINTS = frozenset({"main bonding jumper", "system bonding jumper"})
#: Jumpers that end on a thing of their own, outside the enclosures.
OUTSIDE = frozenset({
    "water piping bond", "gas piping bond", "structural steel bond", "intersystem bonding conductor",
    "water meter jumper", "equipotential plane bond",
})  # fmt: skip


def grounding_drawings(readings: Readings, *, title: str = "Grounding and bonding") -> tuple[Drawing, ...]:
    """The grounding drawing, each sheet made for a letter page.

    Args:
        readings: the installation, as found or as proposed, with its readings.
        title: what stands on top of every sheet.

    Returns:
        The sheets in order, each with its key; the last one tells how to follow a fault.
    """
    drawn = {id: _cell(readings, id) for id in readings.graph.order if id != UTILITY}
    ladders = _ladders(readings)
    notes = (FAULT_PATH, *_left_over(readings))
    taken = room_taken(legend.GROUNDING_KEY, notes, PORTRAIT.width)
    sheets = lay_out(_tree(readings, drawn, ladders), taken_height=taken)
    numbers = sheet_numbers(sheets)
    return tuple(
        finished(
            _items(readings, sheet, drawn, ladders, numbers), sheet.height, page=sheet.page, title=title,
            id=f"grounding-{readings.installation.state}-{number}", description=_description(sheet, drawn),
            number=number, count=len(sheets), entries=legend.GROUNDING_KEY,
            notes=notes if number == len(sheets) else (),
        )
        for number, sheet in enumerate(sheets, 1)
    )  # fmt: skip


def _cell(readings: Readings, id: str) -> GroundCell:
    equipment, run = readings.graph.equipment(id), readings.graph.feeding_run(id)
    neutral = words.neutral_words(readings, id)
    here = [jumper for jumper in readings.grounding.jumpers if jumper.where == id and jumper.kind not in OUTSIDE]
    joints = [_jumper_words(jumper) for jumper in here if jumper.kind in JOINTS]
    others = list(dict.fromkeys(_jumper_words(jumper) for jumper in here if jumper.kind not in JOINTS))
    bond = [neutral.words if neutral else "neutral bond not read", *joints]
    sizing = readings.conductors.runs.get(run.id) if run is not None else None
    drop: list[str] = []
    ground_path = False
    if run is not None:
        count = words.wires_of(readings, run)
        ground_path = bool(words.brings_ground(run, sizing, count))
        drop = [_neutral_words(readings, run), words.ground_words(run, sizing, count)]
        if drop[-1] == "no equipment ground":
            drop[-1] += ": the neutral alone carries fault current"
        drop += [_jumper_words(jumper) for jumper in readings.grounding.jumpers if jumper.where == run.id]
    return GroundCell(
        id, equipment.title, words.standing(equipment), wrap(equipment.title, 138, size=8.5, bold=True),
        ground_cells.wrapped([words.role_words(readings, id), *others]),
        neutral.bonded if neutral else None, ground_cells.wrapped(bond, 128), run,
        (*wrap(run.title, 150, bold=True)[:1], *ground_cells.wrapped(drop)) if run is not None else (), ground_path,
        neutral is None or neutral.present,
    )  # fmt: skip


def _neutral_words(readings: Readings, run: Run) -> str:
    if not words.has_neutral(readings, run):
        return "no neutral"
    if run.owner == "utility" and run.neutral_size is None:
        return "the utility's neutral"
    return words.neutral_size_words(run, readings.conductors.runs.get(run.id))


def _jumper_words(jumper: Jumper) -> str:
    return f"{jumper.kind} {_jumper_size(jumper)}"


def _jumper_size(jumper: Jumper) -> str:
    size = words.metal_size(jumper.size, jumper.metal)
    if jumper.other_metal_size is None:
        return size
    other: Metal = "aluminum" if jumper.metal == "copper" else "copper"
    return f"{size} or {words.metal_size(jumper.other_metal_size, other)}"


def _ladders(readings: Readings) -> dict[str, Ladder]:
    """What hangs on each enclosure's ground bar by a conductor of its own, by equipment."""
    rungs: dict[str, list[Rung]] = {}
    electrodes = readings.installation.electrodes
    for building, system in readings.grounding.systems.items():
        conductors = {conductor.electrode: conductor for conductor in system.conductors}
        for id in dict.fromkeys((*conductors, *system.electrodes)):
            at = _bar_of(readings, conductors[id].lands_at if id in conductors else system.lands_at, building)
            if at is not None and id in electrodes:
                rungs.setdefault(at, []).append(_electrode_rung(readings, id, conductors.get(id)))
        at = _bar_of(readings, system.lands_at, building)
        if at is not None and system.needs_second_electrode:
            needed = Rung(f"needed/{building}", "second electrode", True, ("one more electrode needed",), joined=False)
            rungs.setdefault(at, []).append(needed)
    for jumper in readings.grounding.jumpers:
        at = _jumper_bar(readings, jumper)
        if at is not None:
            lines = (jumper.kind, *ground_cells.wrapped([_jumper_size(jumper)], RUNG_WIDTH))
            rungs.setdefault(at, []).append(Rung(f"jumper/{jumper.id}", jumper.kind, False, lines))
    return {id: Ladder(tuple(each)) for id, each in rungs.items()}


def _bar_of(readings: Readings, equipment: str | None, building: str | None) -> str | None:
    """The enclosure on whose bar something lands: the one named, else its building's, else the first one there."""
    if equipment in readings.installation.equipment:
        return equipment
    system = readings.grounding.systems.get(building or "")
    if system is not None and system.lands_at in readings.installation.equipment:
        return system.lands_at
    if building is None:
        return None
    return next((id for id in readings.graph.order if readings.graph.equipment(id).building == building), None)


def _jumper_bar(readings: Readings, jumper: Jumper) -> str | None:
    if jumper.kind not in OUTSIDE:
        return None
    site = readings.installation
    if (electrode := site.electrodes.get(jumper.where)) is not None:
        return _bar_of(readings, electrode.conductor_to, electrode.building)
    if (bond := site.bonds.get(jumper.where)) is not None:
        return _bar_of(readings, bond.equipment, bond.building)
    system = readings.grounding.systems.get(jumper.where)
    return _bar_of(readings, system.lands_at if system else jumper.where, jumper.where)


def _electrode_rung(readings: Readings, id: str, conductor: ElectrodeConductor | None) -> Rung:
    electrode = readings.installation.electrodes[id]
    name = words.electrode_words(electrode)
    lines = [f"{name}, new" if electrode.is_new and "new" not in name.lower() else name]
    if conductor is None:
        lines.append("no conductor joins it")
    else:
        required = f"{conductor.required_copper} copper"
        if conductor.required_aluminum:
            required += f" or {conductor.required_aluminum} aluminum"
        if electrode.is_new or (readings.proposed and conductor.adequate is not True):
            lines.append(required)
        else:
            found = words.metal_size(conductor.found_size, conductor.found_metal)
            lines.append(found if conductor.adequate else f"{found}; needs {required}")
    joined = conductor is not None and (readings.proposed or electrode.connected is True)
    if conductor is not None and not joined:
        lines.append("not joined" if electrode.connected is False else "whether it is joined is not known")
    first, *rest = lines
    printed = (*wrap(first, RUNG_WIDTH, bold=True), *ground_cells.wrapped(rest, RUNG_WIDTH))
    return Rung(f"electrode/{id}", name, True, printed, joined=joined)


def _left_over(readings: Readings) -> tuple[str, ...]:
    """Jumpers that no enclosure or run of the drawing can carry, so that none is lost."""
    places = {*readings.installation.equipment, *readings.installation.runs}
    lost = [
        f"{_jumper_words(jumper)} at {jumper.where}"
        for jumper in readings.grounding.jumpers
        if jumper.where not in places and _jumper_bar(readings, jumper) is None
    ]
    return (f"Also: {'; '.join(lost)}.".replace("\u00a0", " "),) if lost else ()


def _tree(readings: Readings, drawn: Mapping[str, GroundCell], ladders: Mapping[str, Ladder]) -> Block:
    adrift = [id for id in readings.graph.order if id not in readings.graph.run_into and id != UTILITY]
    first = [readings.installation.runs[run].to or "" for run in readings.graph.runs_out.get(UTILITY, ())]
    below = tuple(_block(readings, id, drawn, ladders) for id in (*first, *adrift) if id in drawn)
    utility = readings.installation.utility
    width = ground_cells.utility_width(utility.name or "Utility supply", words.supply_words(utility))
    return Block(UTILITY, width, 42.0, children=below)


def _block(readings: Readings, id: str, drawn: Mapping[str, GroundCell], ladders: Mapping[str, Ladder]) -> Block:
    cell, ladder = drawn[id], ladders.get(id)
    below = [readings.installation.runs[run].to or "" for run in readings.graph.runs_out.get(id, ())]
    frame = readings.graph.equipment(id).building
    children = tuple(_block(readings, child, drawn, ladders) for child in below if child in drawn)
    if ladder is not None:
        children = (Block(_ladder_id(id), ladder.width, ladder.height, frame=frame, stays=True), *children)
    return Block(
        id, cell.width, cell.height, cell.drop_width, cell.drop_height, frame,
        text_width(frame_title(readings, frame), BODY, bold=True) if frame else 0.0, children,
        first_width=cell.width - ground_cells.FIRST_BRANCH,
    )  # fmt: skip


def _ladder_id(equipment: str) -> str:
    return f"{equipment}: electrodes and bonds"


def _items(
    readings: Readings, sheet: Sheet, drawn: Mapping[str, GroundCell], ladders: Mapping[str, Ladder],
    numbers: Mapping[str, int],
) -> tuple[Item, ...]:  # fmt: skip
    owners = {_ladder_id(id): id for id in ladders}
    titles = {id: cell.title for id, cell in drawn.items()} | {UTILITY: "utility supply"}
    titles |= {ladder: f"electrodes of {drawn[id].title}" for ladder, id in owners.items()}
    utility = readings.installation.utility
    items: list[Item] = [draw_frame(readings, frame) for frame in sheet.frames]
    for placed, above in supplies(sheet, lambda id: owners.get(id) or readings.graph.source_of(id)):
        id = placed.block.id
        leaving = _leaving(drawn, above, placed)
        if placed.block.stub:
            items.append(draw_stub(id, titles[id], placed, start=placed.y, sheet=sheet_words(id, sheet, numbers)))
            items += ground_cells.draw_lines(drawn.get(id), placed, leaving)
        elif id in owners:
            items += ground_cells.draw_ladder(ladders[owners[id]], placed, start=leaving.ground)
        elif id == UTILITY:
            lines = words.supply_words(utility)
            items.append(ground_cells.draw_utility(utility.name or "Utility supply", lines, placed))
        else:
            grounds = _grounds_leave(readings, id, drawn)
            drop = ground_cells.draw_drop(drawn[id], placed, leaving)
            items += [*([drop] if drop else []), ground_cells.draw_cell(drawn[id], placed, grounds=grounds)]
    return (*items, *arrivals(sheet, titles, numbers))


def _grounds_leave(readings: Readings, id: str, drawn: Mapping[str, GroundCell]) -> bool:
    """Whether any run from an enclosure brings an equipment ground along."""
    below = [readings.installation.runs[run].to or "" for run in readings.graph.runs_out.get(id, ())]
    return any(drawn[child].has_ground_path for child in below if child in drawn)


def _leaving(drawn: Mapping[str, GroundCell], above: Placed | None, placed: Placed) -> Leaving:
    source = drawn.get(above.block.id) if above is not None else None
    if placed.on_row:
        return Leaving(placed.line_y, placed.line_y - ground_cells.ROW_GROUND, None)
    if source is None or above is None:
        return Leaving(placed.line_y, placed.line_y, None)
    return Leaving(source.neutral_level(above), source.ground_level(above), source.ground_level(above))


def _description(sheet: Sheet, drawn: Mapping[str, GroundCell]) -> str:
    parts = [
        f"{cell.title}: {' '.join(cell.bond)}"
        for placed in sheet.placed
        if (cell := drawn.get(placed.block.id)) is not None
    ]
    return f"Neutral and ground bars, bonds and electrodes. {'; '.join(parts)}."
