"""How much of a service's rating is left, and which wish would use it up. "No upgrade needed" is a result."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from driploop.editions import Edition
from driploop.installation import Equipment, Graph, Installation, Load, Wish
from driploop.loads.gather import own_rating
from driploop.loads.reading import LoadReader
from driploop.loads.results import Headroom, LoadReading, NodeLoad, WishStep
from driploop.loads.typical import of_site
from driploop.worksheet import Assumption, WorksheetWriter, plain, unique


def read_headroom(
    graph: Graph, wishes: Iterable[Wish], *, edition: Edition, loads: LoadReading | None = None
) -> Headroom | None:
    """Rating, load and margin of the service as it was found, wishes added one after another.

    Of several service disconnects the one is read that is left with the least; each is asked only about the wishes
    that it would feed.

    Args:
        graph: the installation as found.
        wishes: what the customer wants, in order.
        edition: the code edition to ask.
        loads: the loads of the same graph, where they were read already.

    Returns:
        The headroom, None where the survey has no service disconnect, or lists nothing that hangs on one: what is
        not listed is not idle, and no room may be promised from it.
    """
    node_of = loads.nodes.__getitem__ if loads is not None else LoadReader(graph, edition=edition).node
    all_wishes = list(wishes)
    supplies = Supplies(graph)
    known = [id for id in graph.service_disconnects if graph.circuits_below(id) or graph.loads_below(id)]
    read = [_headroom_at(id, node_of(id), supplies, all_wishes, edition=edition) for id in known]
    return min(read, key=_last_margin) if read else None


def _last_margin(headroom: Headroom) -> float:
    return headroom.steps[-1].margin_a if headroom.steps else headroom.margin_a


def _headroom_at(id: str, node: NodeLoad, supplies: Supplies, wishes: list[Wish], *, edition: Edition) -> Headroom:
    graph = supplies.graph
    rating_a, notes = _rating(graph, id)
    sheet = WorksheetWriter(f"headroom/{id}", f"Room left at {graph.equipment(id).title}")
    sheet.number("Rating", "main and bus, the smaller", rating_a, "A", key="rating")
    section = node.governing.section
    sheet.number("Load as it is", node.governing.title, node.current_a, "A", section, key="load")
    load_a = node.conductor_current_a
    section = node.governing.worksheet.line("conductor_current").result.section
    sheet.number(
        "With its continuous part raised", "as the device must carry it", load_a, "A", section, key="device_load"
    )
    margin_a = rating_a - load_a
    sheet.number("Left", f"{plain(rating_a)} - {plain(load_a)}", margin_a, "A", key="margin")
    steps, step_notes = _steps(supplies, wishes, id, rating_a, edition=edition, sheet=sheet)
    run = graph.feeding_run(id)
    if run is not None:
        where = f"held to the load and to this rating in their own worksheet: {run.title}"
        sheet.write("Conductors to it", where, "apart", key="conductors")
    return Headroom(
        equipment=id,
        rating_a=rating_a,
        load_a=load_a,
        margin_a=margin_a,
        method=node.governing.method,
        steps=steps,
        used_up_by=next((step.wish for step in steps if not step.fits), None),
        worksheet=sheet.done(),
        assumptions=unique([*notes, *_notes_of(node), *step_notes]),
    )


def _rating(graph: Graph, id: str) -> tuple[float, tuple[Assumption, ...]]:
    equipment = graph.equipment(id)
    rating = own_rating(equipment)
    if rating is not None:
        return rating, ()
    assumed = of_site("service_a")
    return assumed, (
        Assumption(
            where=f"equipment.{id}.main_a",
            assumed=f"{plain(assumed)} A",
            why_safe="services of two or more circuits are seldom smaller",
            would_change="the rating on the main breaker or fuses, and on the bus",
        ),
    )


def _steps(
    supplies: Supplies, wishes: list[Wish], id: str, rating_a: float, *, edition: Edition, sheet: WorksheetWriter
) -> tuple[tuple[WishStep, ...], list[Assumption]]:
    steps: list[WishStep] = []
    notes: list[Assumption] = []
    graph = supplies.graph
    below = set(graph.below(id))
    # The wishes of one service cannot change another's supply: only what hangs on this one is read again.
    installation = supplies.alone(id)
    for number, wish in enumerate(wishes, start=1):
        panel = _panel_for(graph, wish, id)
        if panel not in below:
            continue
        installation = with_wish(installation, wish, panel=panel)
        node = LoadReader(Graph(installation), edition=edition).node(id)
        load_a = node.conductor_current_a
        margin_a = rating_a - load_a
        working = f"{plain(rating_a)} - {plain(load_a)}, {node.governing.method}"
        sheet.number(f"Left with {wish.title}", working, margin_a, "A", node.governing.section, key=f"wish_{number}")
        steps.append(WishStep(wish.id, wish.title, load_a, margin_a, margin_a >= 0))
        notes += [_of_wish(note, {wish.id for wish in wishes}) for note in _notes_of(node)]
    return tuple(steps), notes


class Supplies:
    """The installation taken apart by its supplies from the utility, each to be read alone."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        parts = graph.installation
        self.top: dict[str, str] = {}
        for id in graph.order:
            source = graph.source_of(id)
            self.top[id] = self.top.get(source or "", id)
        circuits = {key: self.top.get(c.from_ or "") for key, c in parts.circuits.items()}
        loads = {
            key: circuits.get(load.circuit) if load.circuit else self.top.get(load.panel or "")
            for key, load in parts.loads.items()
        }
        self.circuits, self.loads = _by_top(circuits), _by_top(loads)
        # What starts nowhere may belong to any of them.
        self.together = None in circuits.values() or None in loads.values()
        at: dict[str, set[str | None]] = {}
        placed = [
            *((each.building, self.top[id]) for id, each in parts.equipment.items()),
            *((c.building, circuits[key]) for key, c in parts.circuits.items()),
            *((load.building, loads[key]) for key, load in parts.loads.items()),
        ]
        for building, top in placed:
            if building is not None:
                at.setdefault(graph.site_of(building) or building, set()).add(top)
        self.sharing = {top for tops in at.values() if len(tops) > 1 for top in tops}

    def alone(self, id: str) -> Installation:
        """What hangs on the same supply as this equipment; all, where supplies share a building or cannot be told."""
        parts, top = self.graph.installation, self.top[id]
        if self.together or top in self.sharing or len(set(self.top.values())) == 1:
            return parts
        equipment = {key: parts.equipment[key] for key in self.graph.below(top)}
        runs = [run for key in equipment for run in self.graph.runs_out.get(key, ())]
        into = self.graph.run_into.get(top)
        return parts.model_copy(
            update={
                "equipment": equipment,
                "runs": {key: parts.runs[key] for key in (*([into] if into else []), *runs)},
                "circuits": {key: parts.circuits[key] for key in self.circuits.get(top, ())},
                "loads": {key: parts.loads[key] for key in self.loads.get(top, ())},
                "electrodes": {},
                "bonds": {},
                "metered": {key: record for key, record in parts.metered.items() if record.meter in equipment},
            }
        )


def _by_top(tops: dict[str, str | None]) -> dict[str, list[str]]:
    held: dict[str, list[str]] = {}
    for key, top in tops.items():
        if top is not None:
            held.setdefault(top, []).append(key)
    return held


def with_wish(installation: Installation, wish: Wish, *, panel: str | None) -> Installation:
    """The installation with one wish added as a new load, and the loads it replaces taken out."""
    gone = set(wish.replaces or ())
    loads = {id: load for id, load in installation.loads.items() if id not in gone}
    fields = {name: getattr(wish, name) for name in Load.model_fields if name not in ("circuit", "panel", "is_new")}
    on_circuit = wish.circuit if wish.circuit in installation.circuits else None
    loads[wish.id] = Load.model_construct(
        **fields, circuit=on_circuit, panel=None if on_circuit else panel, is_new=True
    )
    freed = _freed_circuits(installation, gone) - {on_circuit or ""}
    circuits = {
        id: circuit.model_copy(update={"purpose": "spare"}) if id in freed else circuit
        for id, circuit in installation.circuits.items()
    }
    return installation.model_copy(update={"loads": loads, "circuits": circuits})


def _freed_circuits(installation: Installation, gone: set[str]) -> set[str]:
    """Circuits left without any of the loads that were listed on them."""
    left = {load.circuit for id, load in installation.loads.items() if id not in gone}
    return {load.circuit for id, load in installation.loads.items() if id in gone and load.circuit} - left


def _panel_for(graph: Graph, wish: Wish, service: str) -> str:
    """Where a wish is fed from: as stated, else the panel of its building, else the first below the service."""
    circuit = graph.installation.circuits.get(wish.circuit or "")
    stated = circuit.from_ if circuit is not None else wish.panel
    if stated in graph.installation.equipment:
        return stated or service
    below = [graph.equipment(id) for id in graph.below(service)]
    at_building = [e.id for e in below if wish.building and e.building == wish.building and e.kind == "panel"]
    panels = [e.id for e in below if _feeds_home(graph, e)] or [e.id for e in below if e.kind == "panel"]
    return (at_building or panels or [service])[0]


def _feeds_home(graph: Graph, equipment: Equipment) -> bool:
    building = graph.installation.buildings.get(equipment.building or "")
    return equipment.kind == "panel" and building is not None and building.use in ("dwelling", "dwelling unit")


def _notes_of(node: NodeLoad) -> tuple[Assumption, ...]:
    return unique(note for result in node.results for note in result.assumptions)


def _of_wish(note: Assumption, wishes: set[str]) -> Assumption:
    """An assumption about a wish names it where the job file has it."""
    table, _, rest = note.where.partition(".")
    id = rest.partition(".")[0]
    return replace(note, where=f"wishes.{rest}") if table == "loads" and id in wishes else note
