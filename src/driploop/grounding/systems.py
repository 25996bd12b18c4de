"""The electrode system of every building and pole: what is joined, by which conductor, and where it lands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding import electrode_conductor as gec
from driploop.grounding.areas import LineConductors, line_conductors, write_lines
from driploop.grounding.electrodes import Standing, enough_electrodes, standing
from driploop.grounding.results import ElectrodeConductor, ElectrodeSystem
from driploop.grounding.sites import Site, on_supply_side, sites
from driploop.grounding.supply import lines_into
from driploop.installation import Graph
from driploop.installation.model import Circuit, Electrode
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter

RODS_KEY = "new rods"


def electrode_systems(
    graph: Graph, conductors: ConductorReading, *, edition: Edition
) -> dict[str, ElectrodeSystem]:
    """The electrode system of every place with electrical supply.

    Args:
        graph: the installation.
        conductors: its conductors: the line size decides the electrode conductor.
        edition: the code edition to ask.

    Returns:
        Systems by the building's id (or that of its disconnect where no building is named). A building on one branch
        circuit with an equipment ground is listed as not requiring one.
    """
    places = sites(graph)
    at = _electrodes_by_site(graph, places)
    systems = {
        id: _system(graph, place, at.get(id, []), conductors, edition) for id, place in places.items()
    }
    return systems | _on_branch_circuits(graph, at, systems, edition)


def _electrodes_by_site(graph: Graph, places: Mapping[str, Site]) -> dict[str, list[Electrode]]:
    found: dict[str, list[Electrode]] = {}
    for electrode in graph.installation.electrodes.values():
        landing = graph.installation.equipment.get(electrode.conductor_to or "")
        place = graph.site_of(electrode.building or (landing.building if landing is not None else None))
        if place is None and len(places) == 1:
            place = next(iter(places))
        if place is not None:
            found.setdefault(place, []).append(electrode)
    return found


def _system(
    graph: Graph, place: Site, electrodes: list[Electrode], conductors: ConductorReading, edition: Edition
) -> ElectrodeSystem:
    lines, asked = lines_into(graph, place.lands_at, conductors, edition=edition)
    required, why = True, "the electrodes of a service are joined into one system"
    if place.fed:
        why = "a building fed by a feeder has its own electrode system"
    rule = "separate-building-electrode" if place.fed else "electrode-system"
    return _joined(graph, place, electrodes, lines, asked, required, why, edition.section(rule), edition)


def _joined(
    graph: Graph,
    place: Site,
    electrodes: list[Electrode],
    lines: LineConductors,
    asked: tuple[Assumption, ...],
    required: bool,
    why: str,
    section: str,
    edition: Edition,
) -> ElectrodeSystem:
    writer = WorksheetWriter(f"grounding/electrode-system/{place.id}", f"Electrode system, {_title(graph, place.id)}")
    write_lines(writer, lines, edition=edition)
    ranked = [standing(electrode, edition=edition) for electrode in electrodes]
    joined = [s for s in ranked if s.counts is not False and not _spared(s.electrode)]
    conductors = tuple(_conductor(graph, place, s, lines, electrodes, writer, edition) for s in joined)
    enough = enough_electrodes(joined, edition=edition)
    if enough.needs_another is not False:
        need = gec.required_conductor(lines, gec.Electrode("rod"), edition=edition)
        gec.write_required(writer, "To the rods to be added", need, key=RODS_KEY)
    return ElectrodeSystem(
        building=place.id,
        required=required,
        lands_at=place.lands_at[0] if place.lands_at else None,
        electrodes=tuple(s.electrode.id for s in joined),
        conductors=conductors,
        needs_second_electrode=enough.needs_another if required else False,
        why=f"{why}; {enough.why}" if required else why,
        section=section,
        worksheet=writer.done(),
        assumptions=(*asked, *_assumptions(ranked), *enough.assumptions) if required else asked,
    )


def _conductor(
    graph: Graph,
    place: Site,
    stands: Standing,
    lines: LineConductors,
    electrodes: list[Electrode],
    writer: WorksheetWriter,
    edition: Edition,
) -> ElectrodeConductor:
    electrode = stands.electrode
    need = gec.required_conductor(lines, _as_target(electrode), onward=_onward(electrode, electrodes), edition=edition)
    gec.write_required(writer, f"To {electrode.title}", need, key=electrode.id)
    adequate = gec.is_adequate(electrode.conductor_size, electrode.conductor_metal, need)
    return ElectrodeConductor(
        electrode=electrode.id,
        lands_at=place.lands_at[0] if place.lands_at else "",
        required_copper=str(need.copper.value),
        required_aluminum=str(need.aluminum.value) if need.aluminum is not None else None,
        found_size=electrode.conductor_size,
        found_metal=electrode.conductor_metal,
        adequate=False if electrode.connected is False else adequate,
        why="; ".join([need.why, *_faults(graph, place, electrode, need)]),
        section=need.copper.section,
        worksheet=writer.id,
        key=electrode.id,
    )


def _faults(graph: Graph, place: Site, electrode: Electrode, need: gec.RequiredConductor) -> Iterable[str]:
    if electrode.connected is False:
        yield "not connected as found"
    if electrode.conductor_metal == "aluminum" and need.aluminum is None:
        yield "aluminum may not be used here"
    to = electrode.conductor_to
    if to is not None and place.lands_at and to not in place.lands_at and to in graph.installation.equipment:
        if not on_supply_side(graph, to):
            yield f"lands at {to} as found; it must land at {place.lands_at[0]}"


def _as_target(electrode: Electrode) -> gec.Electrode:
    # A kind that is not known gets the whole of the table, as a water pipe does.
    return gec.Electrode(electrode.kind or "metal water pipe", electrode.ring_size)


def _onward(electrode: Electrode, electrodes: list[Electrode]) -> list[gec.Electrode]:
    by_id = {e.id: e for e in electrodes}
    chain: dict[str, Electrode] = {}
    here = by_id.get(electrode.continues_to or "")
    while here is not None and here.id not in chain and here.id != electrode.id:
        chain[here.id] = here
        here = by_id.get(here.continues_to or "")
    return [_as_target(e) for e in chain.values()]


def _spared(electrode: Electrode) -> bool:
    """A concrete-encased electrode that is reached only by breaking concrete need not be used."""
    return electrode.kind == "concrete-encased" and electrode.reachable_without_breaking_concrete is False


def _assumptions(ranked: list[Standing]) -> tuple[Assumption, ...]:
    asked = [assumption for s in ranked for assumption in s.assumptions]
    for electrode in (s.electrode for s in ranked):
        if electrode.kind == "concrete-encased" and electrode.reachable_without_breaking_concrete is None:
            where = f"electrodes.{electrode.id}.reachable_without_breaking_concrete"
            why = "an electrode more in the system never harms"
            asked.append(Assumption(where, "it can be reached, and is joined", why, "false: it may be left out"))
    return tuple(asked)


def _title(graph: Graph, place: str) -> str:
    building = graph.installation.buildings.get(place)
    return building.title if building is not None else graph.equipment(place).title


# --- buildings without a panel ---------------------------------------------------------------------------------------


def _on_branch_circuits(
    graph: Graph, at: Mapping[str, list[Electrode]], systems: Mapping[str, ElectrodeSystem], edition: Edition
) -> dict[str, ElectrodeSystem]:
    supplied: dict[str, list[Circuit]] = {}
    for circuit in graph.installation.circuits.values():
        source = graph.installation.equipment.get(circuit.from_ or "")
        place = graph.site_of(circuit.building)
        if place is not None and source is not None and graph.site_of(source.building) != place:
            supplied.setdefault(place, []).append(circuit)
    return {
        place: _branch_fed(graph, place, circuits, at.get(place, []), edition)
        for place, circuits in supplied.items()
        if place not in systems and place in graph.installation.buildings
    }


def _branch_fed(
    graph: Graph, place: str, circuits: list[Circuit], electrodes: list[Electrode], edition: Edition
) -> ElectrodeSystem:
    circuit = max(circuits, key=lambda c: rank(c.wire_size) if c.wire_size else -1)
    # The two hot wires of one multiwire circuit are one circuit.
    names = {c.id for c in circuits}
    single = len(circuits) - sum(1 for c in circuits if c.multiwire_with in names) // 2 == 1
    grounded = all(c.ground in ("wire", "bare wire", "raceway", "armor") for c in circuits)
    section = edition.section("separate-building-electrode")
    if single and grounded:
        why = "one branch circuit with an equipment ground: no electrode is asked for"
        empty = Worksheet(f"grounding/electrode-system/{place}", f"Electrode system, {_title(graph, place)}")
        return ElectrodeSystem(place, False, None, (), (), False, why, section, empty)
    asked = tuple(
        Assumption(
            f"circuits.{c.id}.ground",
            "no equipment ground",
            "an electrode more never harms",
            "an equipment ground in the one circuit that feeds the building: then no electrode is asked for",
        )
        for c in circuits
        if c.ground is None
    )
    size = circuit.wire_size or str(edition.table("conductor_properties").rows[0]["size"])
    lines = line_conductors(size, circuit.metal or "copper", edition=edition)
    why = "fed by branch circuits, and not by one with an equipment ground"
    return _joined(graph, Site(place, (), fed=True), electrodes, lines, asked, True, why, section, edition)
