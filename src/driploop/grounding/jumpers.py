"""Every bonding jumper of an installation: main, line side, piping, steel, water meter, communications, stock plane."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from driploop.conductors.equipment_ground import table_egc
from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.agricultural import needs_equipotential_plane
from driploop.grounding.bond import kept_on_three_wires
from driploop.grounding.bonding_jumper import KEY, JumperSize, bonding_jumper, piping_bond
from driploop.grounding.electrode_conductor import Target, required_conductor
from driploop.grounding.line_side import raceway_ends
from driploop.grounding.results import ElectrodeSystem, Jumper, JumperKind, WireCount
from driploop.grounding.sites import SERVICE_ROLES, Site, sites
from driploop.grounding.supply import lines_into
from driploop.installation import Graph
from driploop.installation.model import Bond, Building
from driploop.worksheet import Assumption, Cited, Worksheet, WorksheetWriter


@dataclass(slots=True)
class JumperList:
    """What ``bonding_jumpers`` gathers."""

    jumpers: list[Jumper] = field(default_factory=list)
    worksheets: list[Worksheet] = field(default_factory=list)
    assumptions: list[Assumption] = field(default_factory=list)

    def add(self, id: str, kind: JumperKind, where: str, size: JumperSize, why: str) -> None:
        """A jumper that a table sized, with its worksheet."""
        self.worksheets.append(size.worksheet)
        self.jumpers.append(
            Jumper(
                id, kind, where, size.size, size.metal, size.section, why, size.worksheet.id, KEY, size.other_metal_size
            )
        )

    def fixed(self, id: str, kind: JumperKind, where: str, size: Cited, working: str, why: str, section: str) -> None:
        """A copper conductor whose size the code names, or another sheet found."""
        writer = WorksheetWriter(f"grounding/{id}", kind.capitalize())
        writer.cite(f"{kind.capitalize()}, copper", working, size, key=KEY)
        self.worksheets.append(writer.done())
        self.jumpers.append(Jumper(id, kind, where, str(size.value), "copper", section, why, f"grounding/{id}", KEY))


def bonding_jumpers(
    graph: Graph,
    conductors: ConductorReading,
    wires: Mapping[str, WireCount],
    systems: Mapping[str, ElectrodeSystem],
    *,
    edition: Edition,
) -> JumperList:
    """Every jumper the installation needs, each sized in copper, with worksheets and assumptions.

    ``Jumper.where`` is the equipment at which it lands; for a water meter jumper it is the water pipe electrode.

    Args:
        graph: the installation.
        conductors: its conductors.
        wires: its wire counts: a kept three-wire feeder needs a jumper at its building.
        systems: its electrode systems: the water meter jumper is as large as the electrode conductor.
        edition: the code edition to ask.
    """
    found = JumperList()
    places = sites(graph)
    _at_disconnects(graph, conductors, wires, found, edition)
    _line_side(graph, conductors, found, edition)
    _water_meters(graph, systems, found, edition)
    for bond in graph.installation.bonds.values():
        _piping(graph, bond, places, conductors, found, edition)
    _electrode_taps(graph, places, conductors, found, edition)
    _intersystem(graph, places, found, edition)
    _planes(graph, places, found, edition)
    return found


def _at_disconnects(
    graph: Graph, conductors: ConductorReading, wires: Mapping[str, WireCount], found: JumperList, edition: Edition
) -> None:
    for id, role in graph.roles.items():
        kept = kept_on_three_wires(graph, id, wires)
        if role not in SERVICE_ROLES and not kept:
            continue
        lines, asked = lines_into(graph, (id,), conductors, edition=edition)
        found.assumptions += asked
        kind: JumperKind = "equipment bonding jumper" if kept else "main bonding jumper"
        name = f"{kind.replace(' ', '-')}/{id}"
        title = f"{kind.capitalize()}, {graph.equipment(id).title}"
        section = edition.section("three-wire-feeder-existing" if kept else "main-bonding-jumper")
        size = bonding_jumper(lines, id=f"grounding/{name}", title=title, section=section, edition=edition)
        found.add(
            name, kind, id, size, "joins neutral and enclosure; the maker's own screw or strap serves where listed"
        )


def _line_side(graph: Graph, conductors: ConductorReading, found: JumperList, edition: Edition) -> None:
    for end in raceway_ends(graph):
        found.assumptions += end.assumptions
        if not end.needs_jumper:
            continue
        run = graph.installation.runs[end.run]
        lines, asked = lines_into(graph, (run.to or "",), conductors, edition=edition)
        found.assumptions += asked
        name = f"supply-side-bonding-jumper/{end.run}/{end.equipment}"
        title = f"Supply-side bonding jumper, {run.title} at {graph.equipment(end.equipment).title}"
        section = edition.section("concentric-knockouts")
        size = bonding_jumper(lines, id=f"grounding/{name}", title=title, section=section, edition=edition)
        found.add(name, "supply-side bonding jumper", end.equipment, size, end.why)


def _electrode_taps(
    graph: Graph, places: Mapping[str, Site], conductors: ConductorReading, found: JumperList, edition: Edition
) -> None:
    """One tap for each further disconnect of a group; the first is where the common electrode conductor lands."""
    section = edition.section("electrode-conductor-taps")
    for place in places.values():
        for id in place.lands_at[1:]:
            lines, asked = lines_into(graph, (id,), conductors, edition=edition)
            found.assumptions += asked
            need = required_conductor(lines, Target("metal water pipe"), edition=edition)
            found.fixed(
                f"electrode-conductor-tap/{id}", "electrode conductor tap", id, need.copper,
                "by the lines of its own disconnect", "each disconnect of the group is joined to the electrodes",
                section,
            )  # fmt: skip


def _water_meters(graph: Graph, systems: Mapping[str, ElectrodeSystem], found: JumperList, edition: Edition) -> None:
    for conductor in (c for system in systems.values() for c in system.conductors):
        electrode = graph.installation.electrodes[conductor.electrode]
        if electrode.kind != "metal water pipe":
            continue
        size = Cited(conductor.required_copper, "", conductor.section)
        working = "as large as the electrode conductor to the pipe"
        why = "the path to the pipe in the earth may not hang on a meter or filter that is taken out"
        id = f"water-meter-jumper/{electrode.id}"
        found.fixed(id, "water meter jumper", electrode.id, size, working, why, edition.section("water-meter-jumper"))


# --- piping and steel ------------------------------------------------------------------------------------------------


def _piping(
    graph: Graph,
    bond: Bond,
    places: Mapping[str, Site],
    conductors: ConductorReading,
    found: JumperList,
    edition: Edition,
) -> None:
    where = _landing(graph, bond, places)
    if where is None:
        return
    if bond.kind in ("metal water piping", "structural steel"):
        water = bond.kind == "metal water piping"
        kind: JumperKind = "water piping bond" if water else "structural steel bond"
        lines, asked = lines_into(graph, (where,), conductors, edition=edition)
        found.assumptions += asked
        section = edition.section("metal-water-piping-bond" if water else "structural-steel-bond")
        name = f"{kind.replace(' ', '-')}/{bond.id}"
        size = piping_bond(lines, id=f"grounding/{name}", title=kind.capitalize(), section=section, edition=edition)
        found.add(name, kind, where, size, f"{bond.kind} that a fault may make live is joined to the service's ground")
    elif bond.kind in ("gas piping", "corrugated gas tubing", "other metal piping"):
        _likely_circuit(graph, bond, where, found, edition)


def _likely_circuit(graph: Graph, bond: Bond, where: str, found: JumperList, edition: Edition) -> None:
    """Piping is bonded by the ground of the circuit that may make it live; not knowing which, the largest counts."""
    devices = [c.ocpd_a for c in graph.circuits_below(where) if c.ocpd_a is not None]
    own = graph.equipment(where)
    rating = max(devices, default=own.main_a or own.rating_a)
    section = edition.section("gas-piping-bond")
    if rating is None:
        found.assumptions.append(
            _unknown_circuit(bond, "no size can be given until a circuit that reaches it is known")
        )
        return
    found.assumptions.append(_unknown_circuit(bond, f"the largest branch circuit, {rating:g} A, may make it live"))
    size = table_egc(rating, "copper", edition=edition)
    why = "the equipment ground of the circuit that may make it live serves as the bond"
    if bond.kind == "corrugated gas tubing":
        why = "its maker's instructions come first, and often ask for a larger bond straight from the service"
    id = f"gas-piping-bond/{bond.id}"
    found.fixed(id, "gas piping bond", where, size, f"behind {rating:g} A", why, section)


def _unknown_circuit(bond: Bond, assumed: str) -> Assumption:
    why = "a larger device asks for a larger bond"
    return Assumption(f"bonds.{bond.id}.size", assumed, why, "the circuit of the appliance on this piping")


def _landing(graph: Graph, bond: Bond, places: Mapping[str, Site]) -> str | None:
    """Where a bond lands: the disconnect of its place; where no place is known, that of the service."""
    at = graph.installation.equipment.get(bond.equipment or "")
    place = places.get(graph.site_of(bond.building or (at.building if at is not None else None)) or "")
    if place is None:
        place = min(places.values(), key=lambda each: (each.fed, each.id), default=None)
    return place.lands_at[0] if place is not None else None


# --- communications and stock ----------------------------------------------------------------------------------------


def _intersystem(graph: Graph, places: Mapping[str, Site], found: JumperList, edition: Edition) -> None:
    size = edition.value("intersystem_conductor")
    section = edition.section("intersystem-termination")
    terminals = edition.value("intersystem_terminals").text
    for place, building in _buildings(graph, places.values()):
        if building is not None and building.communications is False:
            continue
        if building is not None and building.communications is None:
            where = f"buildings.{building.id}.communications"
            why = "a termination more never harms"
            answer = "false, and none is likely: then no termination is asked for"
            found.assumptions.append(Assumption(where, "communication cables enter or may enter", why, answer))
        at = place.lands_at[0]
        why = f"outside the enclosure, for {terminals} or more, so that all cables share one ground"
        id = f"intersystem-bonding-conductor/{place.id}"
        found.fixed(id, "intersystem bonding conductor", at, size, "named by the code", why, section)


def _planes(graph: Graph, places: Mapping[str, Site], found: JumperList, edition: Edition) -> None:
    for place, building in _buildings(graph, places.values()):
        needed = needs_equipotential_plane(building) if building is not None else False
        if building is None or needed is False:
            continue
        if needed is None:
            where = f"buildings.{building.id}.concrete_confinement"
            why = "animals feel a volt or two; a plane makes that none"
            found.assumptions.append(Assumption(where, "animals stand on concrete, metal in reach", why, "false"))
        size, section = edition.value("equipotential_bond"), edition.section("equipotential-plane")
        id = f"equipotential-plane-bond/{building.id}"
        why = "joins the plane under the animals to the building's ground"
        found.fixed(id, "equipotential plane bond", place.lands_at[0], size, "named by the code", why, section)


def _buildings(graph: Graph, places: Iterable[Site]) -> Iterator[tuple[Site, Building | None]]:
    return ((place, graph.installation.buildings.get(place.id)) for place in places)
