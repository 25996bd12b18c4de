"""The electrode system of every building and pole: what is joined, by which conductor, and where it lands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.areas import LineConductors, line_conductors, write_lines
from driploop.grounding.electrode_conductor import (
    RequiredConductor,
    Target,
    is_adequate,
    required_conductor,
    write_required,
)
from driploop.grounding.electrodes import Standing, enough_electrodes, standing
from driploop.grounding.results import ElectrodeConductor, ElectrodeSystem
from driploop.grounding.sites import Site, on_supply_side, sites
from driploop.grounding.supply import lines_into, upward_size
from driploop.installation import Graph
from driploop.installation.model import Circuit, Electrode
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter

RODS_KEY = "new rods"


def electrode_systems(
    graph: Graph, conductors: ConductorReading, *, found: Graph | None = None, edition: Edition
) -> dict[str, ElectrodeSystem]:
    """The electrode system of every place with electrical supply.

    Args:
        graph: the installation.
        conductors: its conductors: the line size decides the electrode conductor.
        found: the installation before the change: what concrete kept apart then still is.
        edition: the code edition to ask.

    Returns:
        Systems by the building's id (or that of its disconnect where no building is named). A building on one branch
        circuit with an equipment ground is listed as not requiring one.
    """
    places = sites(graph)
    at = _electrodes_by_site(graph, places, found)
    systems = {id: _system(graph, place, at.get(id, []), conductors, edition) for id, place in places.items()}
    return systems | _on_branch_circuits(graph, at, systems, edition)


def _electrodes_by_site(graph: Graph, places: Mapping[str, Site], before: Graph | None) -> dict[str, list[Electrode]]:
    """Electrodes by place, those left out that are reached only by breaking concrete."""
    found: dict[str, list[Electrode]] = {}
    for electrode in graph.installation.electrodes.values():
        old = before.installation.electrodes.get(electrode.id) if before is not None else None
        connected = (old or electrode).connected
        if _spared(electrode, connected=connected):
            continue
        if _reach_not_known(electrode):
            # A plan to join it is worth nothing while it may lie in concrete.
            electrode = electrode.model_copy(update={"connected": connected})
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
    why, section = "the electrodes of a service are joined into one system", edition.section("electrode-system")
    if place.fed:
        why = "a building fed by a feeder has its own electrode system"
        section = edition.section("separate-building-electrode")
    return _joined(graph, place, electrodes, (lines, asked), why=why, section=section, edition=edition)


def _joined(
    graph: Graph,
    place: Site,
    electrodes: list[Electrode],
    supply: tuple[LineConductors, tuple[Assumption, ...]],
    *,
    why: str,
    section: str,
    edition: Edition,
) -> ElectrodeSystem:
    lines, asked = supply
    writer = WorksheetWriter(f"grounding/electrode-system/{place.id}", f"Electrode system, {_title(graph, place.id)}")
    write_lines(writer, lines, edition=edition)
    ranked = [standing(electrode, edition=edition) for electrode in electrodes]
    joined = [s for s in ranked if s.counts is not False]
    conductors = tuple(_conductor(graph, place, s, lines, electrodes, writer, edition) for s in joined)
    enough = enough_electrodes([_sure_of(s) for s in joined], edition=edition)
    if enough.needs_another is not False:
        need = required_conductor(lines, Target("rod"), edition=edition)
        write_required(writer, "To the rods to be added", need, key=RODS_KEY)
    return ElectrodeSystem(
        building=place.id,
        required=True,
        lands_at=place.lands_at[0] if place.lands_at else None,
        electrodes=tuple(s.electrode.id for s in joined),
        conductors=conductors,
        needs_second_electrode=enough.needs_another,
        why=f"{why}; {enough.why}",
        section=section,
        worksheet=writer.done(),
        assumptions=(*asked, *_assumptions(ranked), *enough.assumptions),
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
    need = required_conductor(lines, _as_target(electrode), onward=_onward(electrode, electrodes), edition=edition)
    write_required(writer, f"To {electrode.title}", need, key=electrode.id)
    adequate = is_adequate(electrode.conductor_size, electrode.conductor_metal, need)
    return ElectrodeConductor(
        electrode=electrode.id,
        lands_at=place.lands_at[0] if place.lands_at else "",
        required_copper=str(need.copper.value),
        required_aluminum=str(need.aluminum.value) if need.aluminum is not None else None,
        found_size=electrode.conductor_size,
        found_metal=electrode.conductor_metal,
        adequate=_joined_well(electrode, adequate),
        why="; ".join([need.why, *_faults(graph, place, electrode, need, edition)]),
        section=need.copper.section,
        worksheet=writer.id,
        key=electrode.id,
    )


def _joined_well(electrode: Electrode, adequate: bool | None) -> bool | None:
    """A conductor that serves in size serves only where it is known to be connected."""
    if electrode.connected is False or adequate is False:
        return False
    return adequate if electrode.connected else None


def _faults(
    graph: Graph, place: Site, electrode: Electrode, need: RequiredConductor, edition: Edition
) -> Iterable[str]:
    if electrode.connected is False:
        yield "not connected as found"
    if electrode.conductor_metal == "aluminum" and need.aluminum is None:
        yield "aluminum may not be used here"
    above_in, least = electrode.conductor_above_earth_in, edition.value("aluminum_gec_above_earth_in")
    if electrode.conductor_metal == "aluminum" and above_in is not None and above_in < least.number:
        yield f"aluminum ends less than {least.text} from the earth ({least.section})"
    to = electrode.conductor_to
    if to is None or to not in graph.installation.equipment or not place.lands_at or to in place.lands_at:
        return
    if not on_supply_side(graph, to):
        yield f"lands at {to} as found; it must land at {place.lands_at[0]}"


def _as_target(electrode: Electrode) -> Target:
    # A kind that is not known gets the whole of the table, as a water pipe does.
    return Target(electrode.kind or "metal water pipe", electrode.ring_size)


def _onward(electrode: Electrode, electrodes: list[Electrode]) -> list[Target]:
    by_id = {e.id: e for e in electrodes}
    chain: dict[str, Electrode] = {}
    here = by_id.get(electrode.continues_to or "")
    while here is not None and here.id not in chain and here.id != electrode.id:
        chain[here.id] = here
        here = by_id.get(here.continues_to or "")
    return [_as_target(e) for e in chain.values()]


def _spared(electrode: Electrode, *, connected: bool | None) -> bool:
    """A concrete-encased electrode that is reached only by breaking concrete need not be used; one joined already is.

    ``connected`` is as it was found.
    """
    out_of_reach = electrode.reachable_without_breaking_concrete is False
    return electrode.kind == "concrete-encased" and out_of_reach and connected is not True


def _reach_not_known(electrode: Electrode) -> bool:
    unknown = electrode.reachable_without_breaking_concrete is None
    return electrode.kind == "concrete-encased" and unknown and not electrode.is_new


def _sure_of(stands: Standing) -> Standing:
    """An encased electrode that may lie out of reach is no reason to leave a further electrode out."""
    if stands.counts and _reach_not_known(stands.electrode) and not stands.electrode.connected:
        return replace(stands, counts=None, why="it may be out of reach without breaking concrete")
    return stands


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
    grounded = all(c.ground in ("wire", "bare wire", "raceway", "armor") for c in circuits)
    section = edition.section("separate-building-electrode")
    if grounded and _count(circuits) == 1:
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
    lines, unknown = _largest_wire(circuits, edition)
    why = "fed by branch circuits, and not by one with an equipment ground"
    supply = (lines, (*asked, *unknown))
    return _joined(graph, Site(place, (), fed=True), electrodes, supply, why=why, section=section, edition=edition)


def _count(circuits: list[Circuit]) -> int:
    """Circuits, the two lines of a multiwire circuit counted as one."""
    ids = {c.id for c in circuits}
    pairs = {frozenset((c.id, c.multiwire_with)) for c in circuits if c.multiwire_with in ids}
    paired = {id for pair in pairs for id in pair}
    return len(pairs) + sum(1 for id in ids if id not in paired)


def _largest_wire(circuits: list[Circuit], edition: Edition) -> tuple[LineConductors, list[Assumption]]:
    sizes = {c.id: c.wire_size or upward_size(c.ocpd_a, edition=edition) for c in circuits}
    # Of equal sizes the one that nobody measured is asked about; then by id, whatever the order of the survey.
    circuit = max(circuits, key=lambda c: (rank(sizes[c.id]), c.wire_size is None, c.id))
    size = sizes[circuit.id]
    asked = []
    if circuit.wire_size is None:
        where, why = f"circuits.{circuit.id}.wire_size", "larger wires ask for a larger electrode conductor"
        asked.append(Assumption(where, f"{size} copper", why, "the size as found"))
    return line_conductors(size, circuit.metal or "copper", edition=edition), asked
