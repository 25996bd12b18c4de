"""What follows from a new main: wishes, old circuits, electrodes, bonds, surge protection; applied to a draft."""

from __future__ import annotations

from collections.abc import Mapping

from driploop.alternatives.clearing import nearest
from driploop.alternatives.draft import Draft
from driploop.alternatives.new_parts import surge_device
from driploop.circuits.decision import Decision
from driploop.circuits.duties_supply import surge_requirement
from driploop.circuits.protect import weigh
from driploop.circuits.reading import system_volts
from driploop.conductors import read_conductors
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
from driploop.installation import Bond, Circuit, Electrode, Graph, Load, Proposal, Wish
from driploop.loads import read_loads, with_wish


def add_wishes(draft: Draft, wishes: dict[str, Wish], *, main_panel: str | None) -> None:
    """Turn every wish for now into a load; what it replaces goes, and a circuit that fed nothing else is a spare."""
    for wish in wishes.values():
        if wish.when != "now":
            continue
        panel = draft.took_over(wish.panel)
        if wish.circuit not in draft.circuits and panel not in draft.equipment:
            panel = _panel_at(draft, wish.building) or main_panel
            draft.assume(
                f"wishes.{wish.id}.panel", f"fed from {panel}",
                "that panel's feeder and the service both carry it",
                "naming another panel moves the load to that panel's feeder",
            )  # fmt: skip
        with_it = with_wish(draft.done(), wish, panel=panel)
        draft.put_loads(with_it.loads, with_it.circuits)
        for gone in wish.replaces or ():
            _take_the_place(draft, gone, wish.id)


def _panel_at(draft: Draft, building: str | None) -> str | None:
    """The first panel in the building a wish is for."""
    panels = (id for id, each in draft.equipment.items() if each.kind == "panel" and each.building == building)
    return next(iter(nearest(draft.graph(), panels)), None) if building is not None else None


def _take_the_place(draft: Draft, gone: str, wish: str) -> None:
    """Loads that named a replaced one name the wish."""
    for load in list(draft.loads.values()):
        if load.id == wish:
            continue
        if load.supplemental_to == gone:
            draft.change(draft.loads, load.id, supplemental_to=wish)
        if gone in (load.never_with or ()):
            names = tuple(wish if name == gone else name for name in load.never_with or ())
            draft.change(draft.loads, load.id, never_with=names)


def land_old_circuits(draft: Draft, *, edition: Edition) -> None:
    """Circuits that land in a new breaker panel get the breaker that wire and load allow.

    Where only new wire serves the load, the old wire keeps until then the breaker that protects it.
    """
    volts = system_volts(draft.base)
    fed: dict[str, list[Load]] = {}
    for load in draft.loads.values():
        fed.setdefault(load.circuit or "", []).append(load)
    for circuit in list(draft.circuits.values()):
        panel = draft.equipment.get(circuit.from_ or "")
        if circuit.is_new or panel is None or not panel.is_new or panel.branch_protection != "breakers":
            continue
        if circuit.wire_size is None:
            draft.assume(
                f"circuits.{circuit.id}.wire_size", "no breaker is chosen",
                "a breaker chosen without knowing the wire may let it burn",
                "the size read on the wire at the old fuse decides the breaker",
            )  # fmt: skip
            draft.change(draft.circuits, circuit.id, ocpd="breaker", ocpd_a=None)
            continue
        device, decision = weigh(circuit, fed.get(circuit.id, ()), panel, system_volts=volts, edition=edition)
        rating_a = decision.until_then_a if device.rating_a is None else device.in_the_panel_a
        if circuit.purpose == "spare":
            rating_a = circuit.ocpd_a if decision.ordinary_a is None else decision.rating_a
        _say_what_a_better_wire_would_take(draft, circuit, decision)
        draft.change(draft.circuits, circuit.id, ocpd="breaker", ocpd_a=rating_a)


def _say_what_a_better_wire_would_take(draft: Draft, circuit: Circuit, decision: Decision) -> None:
    found, limit, hopeful = circuit.ocpd_a, decision.ordinary_a, decision.hopeful
    if decision.need.exception is not None or limit is None or found is None or hopeful is None:
        return
    best_a = min(found, hopeful.ordinary.number)
    if limit < best_a:
        unknown = "metal" if circuit.metal is None else "insulation" if circuit.insulation is None else "serves"
        draft.assume(
            f"circuits.{circuit.id}.{unknown}", f"a wire that takes no more than a {limit:g} A breaker",
            "the smaller breaker opens sooner",
            f"the print on the wire and the marks of the far terminals; at best a {best_a:g} A breaker",
        )  # fmt: skip


def complete_electrodes(draft: Draft, proposal: Proposal, *, edition: Edition) -> None:
    """Land every electrode conductor where it belongs now, and drive rods where there are too few."""
    graph = draft.graph()
    places = sites(graph)
    present: dict[str, list[Electrode]] = {id: [] for id in places}
    for id, electrode in list(draft.electrodes.items()):
        place = _place(graph, places, electrode.building, electrode.conductor_to)
        if place not in places:
            continue
        lands = places[place].lands_at[0]
        _say_what_was_not_seen(draft, electrode)
        found = draft.base.electrodes.get(id)
        moved = found is not None and found.conductor_to != lands
        draft.change(
            draft.electrodes, id, connected=True, conductor_to=lands,
            conductor_size=None if moved else electrode.conductor_size,
            conductor_metal=None if moved else electrode.conductor_metal,
            meter_jumper=True if electrode.kind == "metal water pipe" else electrode.meter_jumper,
        )  # fmt: skip
        present[place].append(draft.electrodes[id])
    services = sum(not site.fed for site in places.values())
    for id, site in places.items():
        building = id if id in graph.installation.buildings else None
        only = not site.fed and services == 1
        _drive_rods(draft, proposal, site, present[id], building=building, only=only, edition=edition)


def _say_what_was_not_seen(draft: Draft, electrode: Electrode) -> None:
    if electrode.connected is None:
        draft.assume(
            f"electrodes.{electrode.id}.connected", "it is joined in this work",
            "what may be there already is then there for certain",
            "a conductor followed to its clamp, with its size, saves the wire",
        )  # fmt: skip
    if electrode.kind == "metal water pipe" and electrode.meter_jumper is None:
        draft.assume(
            f"electrodes.{electrode.id}.meter_jumper", "a jumper is laid round the water meter in this work",
            "the pipe stays joined when somebody takes the meter out",
            "a jumper seen round meter and filters, or a pipe without any",
        )  # fmt: skip


def _place(graph: Graph, places: Mapping[str, Site], building: str | None, at: str | None) -> str:
    """The place of an electrode or bond: its building, that of the equipment where it lands, or the only one.

    Empty where the survey names none of them.
    """
    landing = graph.installation.equipment.get(at or "")
    place = graph.site_of(building or (landing.building if landing is not None else None))
    return next(iter(places)) if place is None and len(places) == 1 else place or ""


def _drive_rods(
    draft: Draft,
    proposal: Proposal,
    site: Site,
    present: list[Electrode],
    *,
    building: str | None,
    only: bool,
    edition: Edition,
) -> None:
    """``only``: the one place where a service comes in, whose rods need no place in their names."""
    wanted = _rods_wanted([standing(each, edition=edition) for each in present], edition=edition)
    if not site.fed and proposal.new_rods is not None:
        wanted = proposal.new_rods
    for number in range(1, wanted + 1):
        id = _rod_id(draft, f"new-rod-{number}" if only else f"new-rod-{site.id}-{number}")
        draft.electrodes[id] = Electrode(
            id=id, name=f"New ground rod {number}", kind="rod", building=building, connected=True,
            conductor_to=site.lands_at[0], length_ft=edition.number("rod_length_ft"),
            diameter_in=edition.number("rod_diameter_in"), splice="none", clamp_listed_for_burial=True, is_new=True,
            spacing_ft=proposal.rod_spacing_ft or edition.number("rod_length_ft"),
        )  # fmt: skip


def _rod_id(draft: Draft, id: str) -> str:
    """A name that no electrode has yet."""
    while id in draft.electrodes:
        id = f"{id}-new"
    return id


def _rods_wanted(present: list[Standing], *, edition: Edition) -> int:
    """Two rods where nothing counts or only a water pipe does; one more beside a single rod, plate or open question."""
    if enough_electrodes(present, edition=edition).needs_another is False:
        return 0
    rods = [s for s in present if s.electrode.kind in ("rod", "pipe", "plate") and s.counts is not False]
    return 1 if rods else 2


def complete_bonds(draft: Draft) -> None:
    """Intersystem termination and piping bonds at the service."""
    graph = draft.graph()
    places = sites(graph)
    at = {id: _place(graph, places, bond.building, bond.equipment) for id, bond in draft.bonds.items()}
    terminations = {at[id]: id for id, bond in draft.bonds.items() if bond.kind == "intersystem termination"}
    for place, site in places.items():
        if site.fed:
            continue
        if place in terminations:
            draft.change(draft.bonds, terminations[place], present=True, equipment=site.lands_at[0])
        elif graph.roles[site.lands_at[0]] == "service disconnect":
            building = place if place in graph.installation.buildings else None
            only = sum(not each.fed for each in places.values()) == 1
            _add_termination(draft, place, building=building, lands=site.lands_at[0], only=only)
    for id, where in at.items():
        lands = places[where].lands_at[0] if where in places else None
        if lands is not None and graph.equipment(lands).is_new:
            if draft.bonds[id].present is None:
                draft.assume(
                    f"bonds.{id}.present", "it is made in this work",
                    "a bond too many harms nobody, one too few does",
                    "a bond seen at its clamp, with its size, saves the wire",
                )  # fmt: skip
            draft.change(draft.bonds, id, present=True, equipment=lands)


def _add_termination(draft: Draft, place: str, *, building: str | None, lands: str, only: bool) -> None:
    id = "new-intersystem" if only and "new-intersystem" not in draft.bonds else f"new-intersystem-{place}"
    draft.bonds[id] = Bond(
        id=id, kind="intersystem termination", building=building, equipment=lands, present=True, terminals=3,
        is_new=True,
    )  # fmt: skip


def part_neutrals(draft: Draft, *, edition: Edition, only_new: bool = False) -> None:
    """The neutral joined or kept apart in every enclosure; with ``only_new``, in those that are put in.

    Where an old enclosure hangs on an old run without an equipment ground, its joint is the only way back for fault
    current: it stays as found until the ground is there, and the rules speak of both.
    """
    graph = draft.graph()
    for id, needed in _bonds_needed(graph, draft, edition=edition).items():
        each = draft.equipment[id]
        if needed.required == "no neutral" or (only_new and not each.is_new):
            continue
        if needed.required == "isolated" and not each.is_new and _lacks_a_ground(graph, id):
            continue
        draft.change(draft.equipment, id, neutral_bonded=needed.required == "bonded")


def _lacks_a_ground(graph: Graph, id: str) -> bool:
    """Whether the old run into this enclosure is not known to bring an equipment ground."""
    run = graph.feeding_run(id)
    if run is None or run.is_new or run.wires == 4:
        return False
    return run.egc in (None, "none")


def _bonds_needed(graph: Graph, draft: Draft, *, edition: Edition) -> dict[str, NeutralBond]:
    # Loads and sizes matter only where an old three-wire feeder may stay; without one they are not read again.
    fed = (run for run in draft.runs.values() if graph.roles.get(run.to or "") == "building disconnect")
    if all(run.is_new or run.wires == 4 for run in fed):
        return neutral_bonds(graph, found=Graph(draft.base), edition=edition)
    loads = read_loads(graph, edition=edition)
    sizes = read_conductors(graph, loads, edition=edition)
    return neutral_bonds(graph, loads=loads, conductors=sizes, found=Graph(draft.base), edition=edition)


def add_surge_protection(draft: Draft, *, edition: Edition) -> None:
    """A surge device at the renewed equipment of each dwelling, where the edition asks for one."""
    graph = draft.graph()
    for id in graph.order:
        each = draft.equipment[id]
        if not each.is_new or each.surge_protection in ("type 1", "type 2"):
            continue
        if surge_requirement(graph, id, edition=edition) is not None:
            draft.change(draft.equipment, id, **surge_device(edition))
