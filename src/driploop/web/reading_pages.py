"""The readings, a page each: the tables and drawings of the papers, in the order of the work."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from driploop.documents.schedules import equipment_title
from driploop.documents.tables import TableData, table
from driploop.web.blocks import Block, Making, PathStep, picture, to_places
from driploop.web.shown import ShownTable, by_row, shown
from driploop.web.told import clearances_sheets, steps_sheet, told_sheets

if TYPE_CHECKING:
    from driploop.loads.results import NodeLoad
    from driploop.service_drop.results import Clearance


@dataclass(frozen=True, slots=True)
class ReadingPage:
    """One reading: its address, its title, one line about it, and what is on its page."""

    slug: str
    title: str
    lead: str
    blocks: Callable[[Making], Iterator[Block]]


def _shown(making: Making, data: TableData, **more: Any) -> ShownTable:
    return shown(data, making.citing, state=making.state, **more)


# --- load ------------------------------------------------------------------------------------------------------------


def load(making: Making) -> Iterator[Block]:
    """Every enclosure's load, every method side by side, and the room left."""
    from driploop.documents.schedules import load_table

    readings = making.plan.final
    ids = [f"load-{id}" for id in readings.loads.nodes]
    yield Block("loads", "Each enclosure", tables=(_shown(making, load_table(readings, making.citing), ids=ids),))
    tables = [_methods(making, equipment_title(readings, id), node) for id, node in readings.loads.nodes.items()]
    for id, node in readings.loads.buildings.items():
        building = readings.installation.buildings.get(id)
        tables.append(_methods(making, f"{building.title if building else id} by itself", node))
    yield Block(
        "methods", "Every method side by side",
        "Each permitted method is lawful by itself; the smallest permitted one governs and is marked.",
        tables=tuple(tables),
    )  # fmt: skip
    yield _headroom(making)


def _methods(making: Making, place: str, node: NodeLoad) -> ShownTable:
    from driploop.documents.tables import known
    from driploop.documents.text import amperes

    standing = {"yes": "permitted", "no": "not permitted", "ask": "ask the office"}
    data = table(
        place, ["Method", ("Load", True), ("Current", True), "Standing", "Why", "Section", "Sheet"], node.results,
        lambda each: (
            each.title, known(round(each.load_va), "VA") if each.load_va is not None else "not computed",
            amperes(each.current_a), "governs" if each is node.governing else standing[each.permitted], each.why,
            each.section, making.citing(each.worksheet, "total", "current"),
        ),
    )  # fmt: skip
    return _shown(making, data, counts="governs")


def _headroom(making: Making) -> Block:
    from driploop.documents.headroom import headroom_words
    from driploop.documents.text import amperes

    headroom = making.plan.headroom
    if headroom is None:
        return Block("headroom", "Room left in the service as found")
    sheet = steps_sheet(headroom)
    data = table(
        "Each wish on top of the ones before it", ["Wish", ("Load then", True), ("Left", True), "Fits", "Sheet"],
        headroom.steps,
        lambda step: (
            step.title, amperes(step.load_a), left_words(step.margin_a), "yes" if step.fits else "no",
            making.citing(sheet),
        ),
    )  # fmt: skip
    whole = table(
        "The service as found", ["Service", ("Rated", True), ("Load", True), ("Left", True), "Sheet"], [headroom],
        lambda each: (
            equipment_title(making.plan.found, each.equipment), f"{each.rating_a:g} A", amperes(each.load_a),
            left_words(each.margin_a), making.citing(each.worksheet),
        ),
    )  # fmt: skip
    made = _shown(making, whole)
    return Block(
        "headroom", "Room left in the service as found", headroom_words(headroom, {}),
        tables=(made, _shown(making, data)),
    )  # fmt: skip


def left_words(margin_a: float) -> str:
    """What is left of a rating, or how much it is too little. [A]"""
    from driploop.documents.text import amperes

    if margin_a >= 0:
        return amperes(margin_a)
    return f"{amperes(-margin_a) if margin_a <= -1 else f'{-margin_a:.1f} A'} too little"


# --- conductors and grounding ----------------------------------------------------------------------------------------


def conductors(making: Making) -> Iterator[Block]:
    """Every run: conductors, device, raceway, and where what is kept falls short."""
    from driploop.documents.schedules import conductor_table, fault_table, raceway_table

    readings = making.plan.final
    runs = readings.conductors.runs
    ids = [f"run-{id}" for id in runs]
    yield Block("runs", "Conductors", tables=(_shown(making, conductor_table(readings, making.citing), ids=ids),))
    short = [sizing.worksheet for sizing in runs.values() if sizing.faults]
    yield Block("short", "Where conductors fall short",
                tables=(_shown(making, fault_table(readings), sheets=short, title=""),))  # fmt: skip
    yield Block("raceways", "Raceways", tables=(_shown(making, raceway_table(readings, making.citing), title=""),))


def grounding(making: Making) -> Iterator[Block]:
    """Where the neutral is bonded, what carries a fault back to it, and what goes into the earth."""
    from driploop.documents.schedules import (
        electrode_conductor_table,
        jumper_table,
        neutral_table,
        system_table,
        wire_table,
    )
    from driploop.drawings import grounding_drawings

    readings = making.plan.final
    bonds = [bond for bond in readings.grounding.bonds.values() if bond.required != "no neutral"]
    runs = list(readings.grounding.wires)
    conductors = [c for system in readings.grounding.systems.values() for c in system.conductors]
    anchors = {
        **{f"equipment/{bond.equipment}": f"#bond-{bond.equipment}" for bond in bonds},
        **{f"run/{id}": f"#wires-{id}" for id in runs},
        **{f"electrode/{c.electrode}": f"#electrode-{c.electrode}" for c in conductors},
    }
    yield Block(
        "drawing", "The bond and the paths",
        "Each enclosure, run and electrode leads to its line below. The key under the drawing tells the lines.",
        pictures=tuple(picture(drawing, anchors.get) for drawing in grounding_drawings(readings)),
        paths=tuple(_paths(making)),
    )  # fmt: skip
    sheets = {sheet.id: sheet for sheet in told_sheets(readings)}
    yield Block(
        "neutral", "Where the neutral is bonded",
        tables=(
            _shown(making, neutral_table(readings), ids=[f"bond-{bond.equipment}" for bond in bonds]),
            _shown(making, wire_table(readings), ids=[f"wires-{id}" for id in runs],
                   sheets=by_row(runs, sheets, "wires/{}")),
            _shown(making, jumper_table(readings, making.citing)),
        ),
    )  # fmt: skip
    yield Block(
        "electrodes", "Grounding electrodes",
        tables=(
            _shown(making, system_table(readings)),
            _shown(making, electrode_conductor_table(readings, making.citing),
                   ids=[f"electrode-{c.electrode}" for c in conductors]),
        ),
    )  # fmt: skip


def _paths(making: Making) -> Iterator[tuple[str, tuple[PathStep, ...]]]:
    """From each enclosure back along its runs to where neutral and ground meet: the way a fault takes home."""
    readings = making.plan.final
    bonds = readings.grounding.bonds
    for id in readings.graph.order:
        steps: list[PathStep] = []
        here: str | None = id
        while here is not None and here in bonds:
            words = equipment_title(readings, here)
            if bonds[here].required == "bonded":
                steps.append(PathStep(f"{words}: neutral and ground meet here", f"#bond-{here}"))
                break
            steps.append(PathStep(words, f"#bond-{here}" if bonds[here].required != "no neutral" else ""))
            run = readings.graph.feeding_run(here)
            if run is None:
                break
            steps.append(PathStep(run.title, f"#wires-{run.id}" if run.id in readings.grounding.wires else ""))
            here = run.from_
        if len(steps) > 1:
            yield f"A fault in {equipment_title(readings, id)}", tuple(steps)


# --- circuits --------------------------------------------------------------------------------------------------------


def circuits(making: Making) -> Iterator[Block]:
    """Protection, wire and breaker of every circuit; the duties of the change; what becomes of old disconnects."""
    from driploop.documents.circuits import by_panel, circuit_tables
    from driploop.documents.duties import LEAD, duty_tables
    from driploop.documents.old_disconnects import LEAD as DISCONNECTS_LEAD
    from driploop.documents.old_disconnects import old_disconnect_table

    plan = making.plan
    found, proposed = plan.protections
    groups = by_panel(plan.final.graph, proposed if proposed is not None else found)
    *panels, remarks = circuit_tables(plan, making.citing)
    for panel, data in zip(groups, panels, strict=True):
        ids = [f"circuit-{each.circuit}" for each in groups[panel]]
        yield Block(f"at-{panel or 'nowhere'}", data.title, tables=(_shown(making, data, ids=ids, title=""),))
    yield Block("remarks", remarks.title, tables=(_shown(making, remarks, title=""),))
    duties = tuple(_shown(making, data) for data in duty_tables(plan.final, making.citing))
    yield Block("duties", "What the change asks of old wiring", LEAD, tables=duties)
    disconnects = _shown(making, old_disconnect_table(plan.final, making.citing))
    yield Block("old-disconnects", "What becomes of each old disconnect", DISCONNECTS_LEAD, tables=(disconnects,))


# --- voltages and faults ---------------------------------------------------------------------------------------------


def voltages(making: Making) -> Iterator[Block]:
    """Faults at every enclosure, what each run loses, motors that start, neutral to earth."""
    from driploop.documents.electrical import (
        fault_current_table,
        neutral_to_earth_table,
        start_table,
        trip_table,
        voltage_drop_table,
    )
    from driploop.drawings import voltage_profiles

    readings = making.plan.final
    if not readings.faults.largest:
        return
    sheets = {sheet.id: sheet for sheet in told_sheets(readings)}
    cite, trips = making.citing, list(readings.faults.trips)
    yield Block("faults", "Fault current", tables=(
        _shown(making, fault_current_table(readings, cite), ids=[f"fault-{id}" for id in readings.faults.largest]),
        _shown(making, trip_table(readings), sheets=by_row(trips, sheets, "trip/{}")),
    ))  # fmt: skip
    profiles = voltage_profiles(readings, title="Voltage along each feeder")
    yield Block("drop", "Voltage lost along each run",
                pictures=tuple(picture(each, to_places(making)) for each in profiles),
                tables=(_shown(making, voltage_drop_table(readings, cite), title="",
                               ids=[f"drop-{id}" for id in readings.voltages.calculated.runs]),))  # fmt: skip
    yield Block("starts", "Motors that start", tables=(_shown(making, start_table(readings, cite), title=""),))
    numbers = [str(number) for number in range(1, len(readings.voltages.earth_voltages) + 1)]
    yield Block("to-earth", "Neutral to earth where animals stand", tables=(
        _shown(making, neutral_to_earth_table(readings), title="",
               sheets=by_row(numbers, sheets, "neutral-to-earth/{}")),
    ))  # fmt: skip


def hours(making: Making) -> Iterator[Block]:
    """The voltage at every enclosure, at calculated load and in each working hour."""
    from driploop.documents.electrical import voltage_table

    readings = making.plan.final
    if not readings.faults.largest:
        return
    sheets = {sheet.id: sheet for sheet in told_sheets(readings)}
    for each in readings.voltages.scenarios:
        data = voltage_table(readings, each)
        rows = by_row(list(each.at), sheets, f"voltage-at/{each.id}/{{}}")
        yield Block(f"hour-{each.id}", each.title, tables=(_shown(making, data, sheets=rows, title=""),))


def open_neutral(making: Making) -> Iterator[Block]:
    """What each run's far end gets when its neutral comes loose."""
    from driploop.documents.electrical import burning_table, open_neutral_table, worst_open_neutral

    readings, cite = making.plan.final, making.citing
    if not readings.faults.largest:
        return
    sheets = {sheet.id: sheet for sheet in told_sheets(readings)}
    worst = worst_open_neutral(readings.voltages)
    burning: tuple[ShownTable, ...] = ()
    if worst is not None:
        sheet = sheets[f"open-neutral-loads/{worst.run}"]
        burning = (_shown(making, burning_table(readings, worst), sheets=[sheet] * len(worst.loads)),)
    lead = "" if worst is None else (
        f"Were the neutral of {worst.title} to come loose with {worst.hours} running, {worst.loads[0].title} would get "
        f"{worst.loads[0].voltage_v:.0f} V. That is why it is torqued and tested."
    )  # fmt: skip
    yield Block("loose", "At the worst moment", lead,
                tables=(_shown(making, open_neutral_table(readings, cite)), *burning))  # fmt: skip


# --- outdoors --------------------------------------------------------------------------------------------------------


def electrodes(making: Making) -> Iterator[Block]:
    """How well each electrode system reaches the earth."""
    from driploop.documents.soil_and_drop import earth_table
    from driploop.drawings import rod_layouts

    plan = making.plan
    drawings = rod_layouts(plan.earth, plan.final.installation, title="Electrodes in the soil")
    yield Block(
        "earth", "Resistance to earth",
        "A band, because soil is never known well: damp and frozen, and the chance that one rod or two will do.",
        pictures=tuple(picture(each, to_places(making)) for each in drawings),
        tables=(_shown(making, earth_table(plan, making.citing), title=""),),
    )  # fmt: skip


def drop(making: Making) -> Iterator[Block]:
    """How each overhead run hangs and pulls."""
    from driploop.documents.soil_and_drop import drop_table
    from driploop.drawings import drop_profiles

    plan = making.plan
    installation = plan.final.installation
    drawings = drop_profiles(plan.drops, installation, title="Overhead runs") if plan.drops else ()
    tables = [_shown(making, drop_table(plan, making.citing), title="")]
    for id, sheet in zip(plan.drops, clearances_sheets(plan), strict=True):
        data = _clearances(
            f"Clearances of {installation.runs[id].title}", plan.drops[id].clearances, making.citing(sheet)
        )
        tables.append(_shown(making, data))
    engineers = tuple(dict.fromkeys(words for each in plan.drops.values() for words in each.engineer))
    yield Block("drop", "Overhead runs at their worst", pictures=tuple(picture(d, to_places(making)) for d in drawings),
                tables=tuple(tables), notes=engineers)  # fmt: skip


def _clearances(title: str, clearances: Sequence[Clearance], sheet: str) -> TableData:
    stands = {True: "clears", False: "too low", None: "measure"}
    return table(
        title, ["Over", ("Measured", True), ("At the worst", True), ("Needed", True), "Standing", "Section", "Sheet"],
        clearances,
        lambda each: (
            each.what, f"{each.measured_ft:.1f} ft", f"{each.worst_ft:.1f} ft", each.needed.text, stands[each.enough],
            each.needed.section, sheet,
        ),
    )  # fmt: skip


def panels(making: Making) -> Iterator[Block]:
    """Every panel that will stand: its box and how its lines balance."""
    from driploop.documents.panel import balance_table, quality_words
    from driploop.web.panel_moves import slug_of

    for each in making.plan.panels:
        notes = (*each.refused, *((quality_words(each.solved),) if each.solved is not None else ()))
        box = each.problem.box.title if each.problem is not None else ""
        why = "; ".join(each.choice.why) if each.choice is not None else ""
        yield Block(
            f"panel-{slug_of(each.equipment)}", each.title, ": ".join(word for word in (box, why) if word),
            tables=(_shown(making, balance_table(each, making.citing)),), notes=notes,
        )  # fmt: skip


_EVERY = (
    ("load", "Load", "Every method side by side; the one that governs is marked.", load),
    ("conductors", "Conductors and raceways", "Each run with its device and what carries it.", conductors),
    ("grounding", "Bonding and grounding", "Where the neutral is bonded, and the way a fault takes home.", grounding),
    ("circuits", "Circuits", "What may protect each old wire, and what the change asks of it.", circuits),
    ("voltages", "Voltages and faults", "What a short circuit draws, and what voltage arrives.", voltages),
    ("hours", "Voltages hour by hour", "At every enclosure, at calculated load and in each working hour.", hours),
    ("open-neutral", "The neutral comes loose", "Why every neutral is torqued and tested.", open_neutral),
    ("electrodes", "Electrodes in the soil", "How well the electrodes reach the earth.", electrodes),
    ("drop", "Overhead drop", "How each overhead run hangs and pulls.", drop),
    ("panels", "Panels", "Which box, and how its lines balance hour by hour.", panels),
)
PAGES: dict[str, ReadingPage] = {each[0]: ReadingPage(*each) for each in _EVERY}
