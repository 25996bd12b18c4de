"""What follows from a new main: wires, electrodes, bonds, surge protection, old circuits; applied to a draft."""

from __future__ import annotations

from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.kinds import usual_insulation
from driploop.conductors import next_standard_rating, read_conductors, small_conductor_limit
from driploop.editions import Edition
from driploop.grounding import (
    NeutralBond,
    Site,
    Standing,
    enough_electrodes,
    neutral_bonds,
    sites,
    standing,
)
from driploop.installation import Bond, Electrode, Graph, Proposal, Run, Wish
from driploop.loads import read_loads, with_wish
from driploop.worksheet import DriploopError


def add_wishes(draft: Draft, wishes: dict[str, Wish], *, main_panel: str | None) -> None:
    """Turn every wish for now into a load; what it replaces goes, and a circuit that fed nothing else is a spare."""
    for wish in wishes.values():
        if wish.when != "now":
            continue
        if wish.circuit is None and wish.panel is None:
            draft.assume(
                f"wishes.{wish.id}.panel", f"fed from {main_panel}",
                "that panel's feeder and the service both carry it",
                "naming another panel moves the load to that panel's feeder",
            )  # fmt: skip
        with_it = with_wish(draft.done(), wish, panel=wish.panel or main_panel)
        draft.loads, draft.circuits = dict(with_it.loads), dict(with_it.circuits)


def apply_fates(draft: Draft, proposal: Proposal) -> None:
    """Do what the survey already decided about each piece of equipment and each run."""
    for id, each in list(draft.equipment.items()):
        if each.is_new or id not in draft.equipment:
            continue
        source = draft.graph().source_of(id)
        if each.fate in ("remove", "abandon"):
            draft.remove_equipment(id, hand_to=source)
        elif each.fate == "replace":
            _renew(draft, proposal, id)
        elif each.fate == "convert to junction box":
            _refuse_if_it_holds_circuits(draft, id)
            draft.change(draft.equipment, id, kind="junction box", branch_protection="none", main="none", main_a=None)
        elif each.fate == "convert to unfused":
            draft.change(draft.equipment, id, main="none", main_a=None)
    for id, run in list(draft.runs.items()):
        if id in draft.runs and not run.is_new and run.fate in ("remove", "abandon", "replace"):
            _apply_run_fate(draft, proposal, id)
    for circuit, panel in (proposal.moves or {}).items():
        draft.change(draft.circuits, circuit, from_=panel)


def _refuse_if_it_holds_circuits(draft: Draft, id: str) -> None:
    held = [circuit.id for circuit in draft.circuits.values() if circuit.from_ == id]
    if held:
        raise ProposalError(
            f"equipment.{id}.fate",
            f"a junction box protects nothing, but {', '.join(held)} start here; "
            "say in [proposal.moves] where they go.",
        )


def _renew(draft: Draft, proposal: Proposal, id: str) -> None:
    old = draft.equipment[id]
    rating = (proposal.disconnect_ratings_a or {}).get(old.building or "") or old.rating_a
    draft.change(
        draft.equipment, id, is_new=True, kind="panel" if old.kind == "panel" else old.kind, rating_a=rating,
        main="breaker" if old.main in ("breaker", "fuses") else old.main,
        main_a=rating if old.main in ("breaker", "fuses") else None,
        mains_count=1, branch_protection="breakers" if draft.graph().circuits_of(id) else old.branch_protection,
        suitable_as_service_equipment=True, terminal_temperature_c=75, line_terminals_covered=True, unused_openings=0,
        directory="clear", neutrals_under_one_screw=1, fuse_in_neutral=False, tandem_breakers="none", marked=None,
        condition=None, neutral_bonded=None, interrupting_rating_a=proposal.interrupting_rating_a,
        backfed_main_fastened=None,
    )  # fmt: skip


def _apply_run_fate(draft: Draft, proposal: Proposal, id: str) -> None:
    old = draft.runs.pop(id)
    if old.fate != "replace":
        if old.to in draft.equipment:
            raise ProposalError(
                f"runs.{id}.fate",
                f"it would leave {old.to!r} without a supply; remove that too, or replace the run.",
            )
        return
    method = proposal.feeder_method or old.method
    draft.runs[id] = Run.model_validate(
        {
            "id": id, "name": old.name if method == old.method else None, "from": old.from_, "to": old.to, "owner": "customer", "method": method,
            "overhead": old.overhead if method == old.method else None,
            "buried": old.buried if method == old.method else None,
            "metal": proposal.feeder_metal or proposal.metal, "length_ft": old.length_ft, "wires": 4,
            "insulation": proposal.feeder_insulation or usual_insulation(method), "neutral_insulated": True,
            "ocpd": "breaker", "metal_paths": old.metal_paths, "ambient_c": old.ambient_c, "is_new": True,
        }
    )  # fmt: skip


def rate_new_feeders(draft: Draft, proposal: Proposal, *, edition: Edition) -> None:
    """Give each new or re-hung feeder an overcurrent device: stated by building, else the load's next standard size.

    Not below what the building's disconnect must be rated, so that switch and feeder stay of one class.
    """
    graph = draft.graph()
    for run in list(draft.runs.values()):
        if run.is_new and run.to in draft.equipment and graph.is_service_run(run):
            draft.change(draft.runs, run.id, wires=3, ocpd="none", ocpd_a=None)
    loads = read_loads(graph, edition=edition)
    for run in list(draft.runs.values()):
        source = draft.equipment.get(run.from_ or "")
        if run.to not in draft.equipment or source is None or graph.is_service_run(run):
            continue
        if run.ocpd_a is not None and run.ocpd != "none":
            if source.is_new:
                draft.change(draft.runs, run.id, ocpd="breaker")
            continue
        if not (run.is_new or source.is_new) or source.role == "site-isolating device":
            continue
        enters = graph.roles[run.to] == "building disconnect"
        building = draft.equipment[run.to].building or ""
        stated = (proposal.disconnect_ratings_a or {}).get(building) if enters else None
        minimum = building_minimum_a(graph, run.to, edition=edition) if enters else 0.0
        rating = stated or next_standard_rating(max(loads.nodes[run.to].conductor_current_a, minimum), edition=edition)
        draft.change(draft.runs, run.id, ocpd="breaker", ocpd_a=float(rating))
        to = draft.equipment[run.to]
        if to.is_new and (to.rating_a is None or to.rating_a < rating):
            draft.change(draft.equipment, run.to, rating_a=float(rating), main_a=float(rating) if to.main_a else None)


def building_minimum_a(graph: Graph, equipment: str, *, edition: Edition) -> float:
    """The least rating of the disconnect of a fed building: a one-family dwelling's, else any other's. [A]"""
    dwelling = bool(graph.dwelling_units_below(equipment))
    return edition.number("building_disconnect_one_family" if dwelling else "building_disconnect_other")


def land_old_circuits(draft: Draft, *, edition: Edition) -> None:
    """Circuits that land in a new breaker panel get a breaker that the old wire allows, never more than was found."""
    for circuit in list(draft.circuits.values()):
        panel = draft.equipment.get(circuit.from_ or "")
        if panel is None or not panel.is_new or panel.branch_protection != "breakers":
            continue
        limit = None
        if circuit.wire_size is not None:
            limit = small_conductor_limit(circuit.wire_size, circuit.metal or "aluminum", edition=edition)
        if circuit.wire_size is None:
            draft.assume(
                f"circuits.{circuit.id}.wire_size", "no breaker is chosen",
                "a breaker chosen without knowing the wire may let it burn",
                "the size read on the wire at the old fuse decides the breaker",
            )  # fmt: skip
            draft.change(draft.circuits, circuit.id, ocpd="breaker", ocpd_a=None)
            continue
        rated = [a for a in (circuit.ocpd_a, limit) if a is not None]
        draft.change(draft.circuits, circuit.id, ocpd="breaker", ocpd_a=min(rated) if rated else None)


def complete_electrodes(draft: Draft, proposal: Proposal, *, edition: Edition) -> None:
    """Land every electrode conductor where it belongs now, and drive rods where there are too few."""
    graph = draft.graph()
    for id, electrode in list(draft.electrodes.items()):
        lands = grounding_place(graph, electrode.building)
        if lands is None:
            continue
        moved = electrode.conductor_to != lands
        draft.change(
            draft.electrodes, id, connected=True, conductor_to=lands,
            conductor_size=None if moved else electrode.conductor_size,
            conductor_metal=None if moved else electrode.conductor_metal,
            meter_jumper=True if electrode.kind == "metal water pipe" else electrode.meter_jumper,
        )  # fmt: skip
    for site in sites(draft.graph()).values():
        _drive_rods(draft, proposal, site, edition=edition)


def grounding_place(graph: Graph, building: str | None) -> str | None:
    """The enclosure where a building's electrode conductors land: its service disconnect, else its own disconnect.

    A service disconnect hung elsewhere (a pole) serves its own place; the fed building lands at its own disconnect.
    """
    site = sites(graph).get(graph.site_of(building) or "")
    return site.lands_at[0] if site else None


def _drive_rods(draft: Draft, proposal: Proposal, site: Site, *, edition: Edition) -> None:
    graph = draft.graph()
    present = [standing(e, edition=edition) for e in draft.electrodes.values() if graph.site_of(e.building) == site.id]
    wanted = _rods_wanted(present, edition=edition)
    if not site.fed and proposal.new_rods is not None:
        wanted = proposal.new_rods
    for number in range(1, wanted + 1):
        id = f"new-rod-{site.id}-{number}" if site.fed else f"new-rod-{number}"
        if id in draft.electrodes:
            id = f"new-rod-{site.id}-{number}"
        draft.electrodes[id] = Electrode(
            id=id, name=f"New ground rod {number}", kind="rod", building=site.id, connected=True,
            conductor_to=site.lands_at[0], length_ft=edition.number("rod_length_ft"),
            diameter_in=edition.number("rod_diameter_in"), splice="none", clamp_listed_for_burial=True, is_new=True,
            spacing_ft=proposal.rod_spacing_ft or edition.number("rod_length_ft"),
        )  # fmt: skip


def _rods_wanted(present: list[Standing], *, edition: Edition) -> int:
    """Two rods where nothing counts or only a water pipe does; one more beside a single rod, plate or open question."""
    if enough_electrodes(present, edition=edition).needs_another is False:
        return 0
    rods = [s for s in present if s.electrode.kind in ("rod", "pipe", "plate") and s.counts is not False]
    return 1 if rods else 2


def complete_bonds(draft: Draft, *, edition: Edition) -> None:
    """Intersystem termination and piping bonds at the service; the neutral joined or kept apart in every enclosure."""
    graph = draft.graph()
    for id in graph.service_disconnects:
        site = graph.site_of(graph.equipment(id).building)
        _intersystem(draft, graph, site, id)
    for id, bond in list(draft.bonds.items()):
        lands = grounding_place(graph, bond.building)
        if lands is not None and graph.equipment(lands).is_new:
            draft.change(draft.bonds, id, present=True, equipment=lands)
    for id, needed in _bonds_needed(draft.graph(), draft, edition=edition).items():
        if needed.required != "no neutral":
            draft.change(draft.equipment, id, neutral_bonded=needed.required == "bonded")


def _bonds_needed(graph: Graph, draft: Draft, *, edition: Edition) -> dict[str, NeutralBond]:
    # Loads and sizes matter only where an old three-wire feeder may stay; without one they are not read again.
    fed = (run for run in draft.runs.values() if graph.roles.get(run.to or "") == "building disconnect")
    if all(run.is_new or run.wires == 4 for run in fed):
        return neutral_bonds(graph, found=Graph(draft.base), edition=edition)
    loads = read_loads(graph, edition=edition)
    sizes = read_conductors(graph, loads, edition=edition)
    return neutral_bonds(graph, loads=loads, conductors=sizes, found=Graph(draft.base), edition=edition)


def _intersystem(draft: Draft, graph: Graph, site: str | None, lands: str) -> None:
    terminations = [b for b in draft.bonds.values() if b.kind == "intersystem termination"]
    for bond in terminations:
        if graph.site_of(bond.building) == site:
            draft.change(draft.bonds, bond.id, present=True, equipment=lands)
            return
    id = "new-intersystem" if "new-intersystem" not in draft.bonds else f"new-intersystem-{site}"
    draft.bonds[id] = Bond(
        id=id, kind="intersystem termination", building=site, equipment=lands, present=True, terminals=3, is_new=True
    )


def add_surge_protection(draft: Draft, *, edition: Edition) -> None:
    """A surge device at the renewed equipment of each dwelling, where the edition asks for one."""
    graph = draft.graph()
    if not _asks(edition, "surge-protection-service"):
        return
    for id in graph.order:
        each = draft.equipment[id]
        if not each.is_new or not graph.dwelling_units_below(id) or each.surge_protection in ("type 1", "type 2"):
            continue
        role = graph.roles[id]
        fed = role in ("building disconnect", "subpanel") and _asks(edition, "surge-protection-feeder")
        if role == "service disconnect" or fed:
            draft.change(draft.equipment, id, surge_protection="type 2")


def _asks(edition: Edition, requirement: str) -> bool:
    try:
        return edition.has(requirement)
    except DriploopError:
        return False
