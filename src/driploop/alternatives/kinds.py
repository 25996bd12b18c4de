"""The kinds of outdoor device: how each one changes what hangs where.

Each function takes a draft of what was found and leaves the new equipment and runs in it, not yet sized.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from driploop.alternatives.clearing import (
    STAYS,
    clear_ahead,
    clear_the_way,
    first_meter,
    goes,
    meter_above,
    nearest,
    same_place,
)
from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.new_parts import add_main, in_place_of, main_feeder, new_run, renew_panel, service_run
from driploop.circuits import takes_down
from driploop.installation import UTILITY, Proposal, Run
from driploop.installation.model import EquipmentKind, Method, Role

NEW_MAIN = "new-main"
SERVICE = "service"
MAIN_FEEDER = "main-feeder"
SECOND_PANEL = "second-panel"
BUSBAR: Method = "busbar or nipple"
KEEP = "keep what is there"

Build = Callable[[Draft, Proposal], None]

_PASSES_ON = frozenset({"meter", "junction box", "utility"})


def service_inside(draft: Draft, proposal: Proposal) -> None:
    """The main stays with the inside panel; the old switches beside it go."""
    panel = _panel_taken_over(draft, proposal)
    old = draft.run_into(panel)
    supply = clear_the_way(draft, keep=panel, into=panel)
    renew_panel(draft, proposal, panel, main_a=proposal.rating_a)
    if old is not None and old.fate == "keep":
        draft.runs[old.id] = old
    service_run(draft, proposal, SERVICE, supply, panel)


def service_outdoors(draft: Draft, proposal: Proposal) -> None:
    """A service disconnect outdoors; the inside panel becomes a feeder panel."""
    _device_ahead_of_panel(draft, proposal, role="service disconnect")


def emergency_disconnect(draft: Draft, proposal: Proposal) -> None:
    """An emergency disconnect outdoors that is not service equipment; the inside main stays the service disconnect."""
    _device_ahead_of_panel(draft, proposal, role="emergency disconnect")


def meter_disconnect(draft: Draft, proposal: Proposal) -> None:
    """A disconnect in the meter equipment, on the supply side of the service disconnect."""
    _device_ahead_of_panel(draft, proposal, role="meter disconnect")


def everything_outdoors(draft: Draft, proposal: Proposal) -> None:
    """Main and branch breakers in one outdoor enclosure; the inside panel goes, its circuits move."""
    panel = _panel_taken_over(draft, proposal)
    if draft.equipment[panel].fate == "keep":
        raise ProposalError(
            f"equipment.{panel}.fate",
            "'keep', while the kind 'everything outdoors' takes this panel out; "
            "write 'remove', or choose 'service disconnect outdoors', which keeps a panel inside.",
        )
    add_main(draft, proposal, NEW_MAIN, role="service disconnect", near=meter_above(draft, panel), kind="panel")
    if not same_place(draft, NEW_MAIN, panel):
        raise ProposalError(
            "proposal.kind",
            f"'everything outdoors' would start the circuits of {panel} at another place than its building; "
            "choose 'service disconnect outdoors', or hang the device on that building (outdoor_place).",
        )
    supply = clear_the_way(draft, keep=panel, into=NEW_MAIN)
    draft.remove_equipment(panel, hand_to=NEW_MAIN)
    service_run(draft, proposal, SERVICE, supply, NEW_MAIN)


def several_service_disconnects(draft: Draft, proposal: Proposal) -> None:
    """One service disconnect to each dwelling unit or building, each in its own enclosure, grouped."""
    supplies = _supplies(draft)
    claimed = {main for supply in supplies for main in supply.mains}
    names: set[str] = set()
    for supply in supplies:
        panel = supply.panel
        suffix = f"-{_fresh(supply.building, names)}"
        rating_a = _rating_for(proposal, supply.building)
        old = draft.run_into(panel)
        add_main(
            draft, proposal, NEW_MAIN + suffix, role="service disconnect", near=supply.meter, kind="disconnect",
            rating_a=rating_a,
        )  # fmt: skip
        source = clear_the_way(draft, keep=panel, into=panel, spare=claimed - supply.mains)
        main_a = None if same_place(draft, NEW_MAIN + suffix, panel) else rating_a
        renew_panel(draft, proposal, panel, main_a=main_a, bus_a=rating_a)
        service_run(draft, proposal, SERVICE + suffix, source, NEW_MAIN + suffix)
        main_feeder(draft, proposal, MAIN_FEEDER + suffix, NEW_MAIN + suffix, panel, old=old, ocpd_a=rating_a)


def farm_distribution_point(draft: Draft, proposal: Proposal) -> None:
    """One device at the pole, feeders from it to every building.

    Old switches at the pole go. Disconnects that hang in the buildings stay where they are and are fed from the pole.
    """
    for meter in nearest(draft.graph(), (id for id, each in draft.equipment.items() if each.kind == "meter")):
        clear_ahead(draft, meter)
    graph = draft.graph()
    old = [id for id in graph.service_disconnects if draft.equipment[id].fate not in STAYS]
    meter = meter_above(draft, old[0]) if old else first_meter(graph)
    role: Role = "site-isolating device" if proposal.site_isolating else "service disconnect"
    kind: EquipmentKind = "disconnect" if proposal.site_isolating else "panel"
    add_main(draft, proposal, NEW_MAIN, role=role, near=meter, kind=kind)
    for id in old:
        if meter_above(draft, id) == meter and _hangs_at_the_pole(draft, id, meter):
            draft.remove_equipment(id, hand_to=NEW_MAIN)
    for run in [r for r in draft.runs.values() if r.from_ == meter and r.owner != "utility"]:
        draft.change(draft.runs, run.id, from_=NEW_MAIN)
    service_run(draft, proposal, SERVICE, meter, NEW_MAIN)


def meter_and_two_mains(draft: Draft, proposal: Proposal) -> None:
    """A meter with two service disconnects in one enclosure, each in its own compartment, each to a panel of its own.

    The rating stated is that of both together. Circuits go to the second panel by ``[proposal.moves]``.
    """
    panel = _panel_taken_over(draft, proposal)
    old, meter = draft.run_into(panel), meter_above(draft, panel)
    each_a = proposal.rating_a / 2 if proposal.rating_a else None
    first, second = f"{NEW_MAIN}-1", f"{NEW_MAIN}-2"
    for id in (first, second):
        add_main(draft, proposal, id, role="service disconnect", near=meter, kind="disconnect", rating_a=each_a)
    supply = clear_the_way(draft, keep=panel, into=panel)
    if supply in draft.equipment and draft.equipment[supply].kind == "meter":
        together = {**in_place_of(draft.equipment[supply], None), "rating_a": proposal.rating_a}
        draft.change(draft.equipment, supply, **together)
    main_a = None if same_place(draft, first, panel) else each_a
    renew_panel(draft, proposal, panel, main_a=main_a, bus_a=each_a)
    beside = draft.equipment[panel]
    draft.add_equipment(
        beside.model_copy(
            update={**in_place_of(beside, proposal.feeder_method), "id": SECOND_PANEL, "name": "Second panel",
                    "main": "breaker" if main_a else "none", "main_a": main_a, "rating_a": each_a,
                    "branch_protection": "breakers", "fate": None, "neutral_bonded": None}
        )
    )  # fmt: skip
    for source in (first, second):
        draft.add_run(
            new_run(
                f"{SERVICE}-{source.removeprefix(NEW_MAIN)[1:]}", supply, source, wires=3, method=BUSBAR, metal=None,
                insulation=None, length_ft=0.0, ocpd_a=None, name="Busbars within the meter enclosure",
            )
        )  # fmt: skip
    main_feeder(draft, proposal, f"{MAIN_FEEDER}-1", first, panel, old=old, ocpd_a=each_a)
    main_feeder(draft, proposal, f"{MAIN_FEEDER}-2", second, SECOND_PANEL, old=None, ocpd_a=each_a)


def keep_what_is_there(draft: Draft, proposal: Proposal) -> None:
    """Nothing is renewed: what follows are wishes, missing electrodes and bonds, and the repairs that are stated."""


def meter_only(draft: Draft, proposal: Proposal) -> None:
    """Nothing but the meter socket is replaced: those marked so, or all where none is marked."""
    meters = [each for each in draft.equipment.values() if each.kind == "meter"]
    chosen = [each for each in meters if each.fate == "replace"] or [each for each in meters if each.fate != "keep"]
    if not chosen:
        raise ProposalError("proposal.scope", "'meter only', but no meter is listed that may be replaced; list it.")
    for each in chosen:
        draft.change(draft.equipment, each.id, **in_place_of(each, None))


def panel_only(draft: Draft, proposal: Proposal) -> None:
    """The panel is replaced in its place; the conductors that feed it stay."""
    panel = _panel_taken_over(draft, proposal)
    old = draft.equipment[panel]
    if old.fate == "keep":
        raise ProposalError(f"equipment.{panel}.fate", "'keep', while the scope 'panel only' replaces this panel.")
    main_a = proposal.rating_a or old.main_a
    if draft.graph().roles[panel] == "service disconnect":
        main_a = main_a or old.rating_a
        if main_a is None:
            raise ProposalError(
                "proposal.rating_a", f"left out, and the rating of {panel} is not known; state the new main's. [A]"
            )
    renew_panel(draft, proposal, panel, main_a=main_a)


def service_cable_only(draft: Draft, proposal: Proposal) -> None:
    """The customer's service conductors are replaced, those marked so or else all; the equipment stays."""
    graph = draft.graph()
    runs = [run for run in draft.runs.values() if graph.is_service_run(run) and _customers(draft, run)]
    chosen = [run for run in runs if run.fate == "replace"] or runs
    if not chosen:
        raise ProposalError(
            "proposal.scope", "'service cable only', but no service conductors of the customer's are listed."
        )
    for run in chosen:
        length_ft = proposal.length_ft if len(chosen) == 1 else None
        draft.runs[run.id] = new_run(
            run.id, run.from_, run.to, wires=3, method=proposal.method or run.method,
            metal=proposal.metal or run.metal, insulation=proposal.insulation,
            length_ft=length_ft if length_ft is not None else run.length_ft, ocpd_a=None, name=run.name,
        )  # fmt: skip


BY_KIND: Mapping[str, Build] = {
    "service disconnect inside": service_inside,
    "service disconnect outdoors": service_outdoors,
    "emergency disconnect": emergency_disconnect,
    "meter disconnect": meter_disconnect,
    "everything outdoors": everything_outdoors,
    "several service disconnects": several_service_disconnects,
    "farm distribution point": farm_distribution_point,
    "meter and two mains": meter_and_two_mains,
    KEEP: keep_what_is_there,
}
BY_SCOPE: Mapping[str, Build] = {
    "meter only": meter_only,
    "panel only": panel_only,
    "service cable only": service_cable_only,
}


# --- pieces ------------------------------------------------------------------------------------------------------


def _device_ahead_of_panel(draft: Draft, proposal: Proposal, *, role: Role) -> None:
    panel = _panel_taken_over(draft, proposal)
    old = draft.run_into(panel)
    add_main(draft, proposal, NEW_MAIN, role=role, near=meter_above(draft, panel), kind="disconnect")
    supply = clear_the_way(draft, keep=panel, into=panel)
    is_service = role == "service disconnect"
    # Past a service disconnect the panel needs a main of its own only where it stands in another building.
    main_a = None if is_service and same_place(draft, NEW_MAIN, panel) else proposal.rating_a
    renew_panel(draft, proposal, panel, main_a=main_a)
    ocpd_a = proposal.rating_a if is_service else None
    service_run(draft, proposal, SERVICE, supply, NEW_MAIN)
    main_feeder(draft, proposal, MAIN_FEEDER, NEW_MAIN, panel, old=old, ocpd_a=ocpd_a)


def _panel_taken_over(draft: Draft, proposal: Proposal) -> str:
    """The panel the new one takes the place of: named, else the one that the old service disconnect is or feeds."""
    if proposal.panel is not None:
        return _named_panel(draft, proposal.panel)
    graph = draft.graph()
    panels = nearest(graph, {
        id for main in graph.service_disconnects for id in graph.below(main) if draft.equipment[id].kind == "panel"
    })  # fmt: skip
    stays = [id for id in panels if not takes_down(draft.equipment[id])]
    if not panels:
        raise ProposalError(
            "proposal.panel", "no panel hangs below the service disconnect; name the panel or switch to take over."
        )
    homes = [id for id in stays if graph.whole_dwelling(id)]
    chosen = (homes or stays or panels)[0]
    if len(stays) > 1:
        draft.assume(
            "proposal.panel", f"the new main panel takes the place of {chosen}",
            "it hangs nearest to the supply, or is the largest of those that do; every other stays fed as it is",
            "the panel meant, by its id",
        )  # fmt: skip
    return chosen


def _named_panel(draft: Draft, id: str) -> str:
    if id not in draft.equipment:
        raise ProposalError("proposal.panel", f"{id!r} is not in the survey; there are: {', '.join(draft.equipment)}.")
    if draft.equipment[id].kind in _PASSES_ON:
        raise ProposalError(
            "proposal.panel", f"{id!r} is a {draft.equipment[id].kind}; name a panel, or a switch whose place it takes."
        )
    return id


def _hangs_at_the_pole(draft: Draft, id: str, meter: str) -> bool:
    """Whether an old service disconnect makes way for the device at the pole; one in a building serves on there."""
    each = draft.equipment[id]
    if not (same_place(draft, id, NEW_MAIN) or same_place(draft, id, meter)):
        return False
    building = draft.base.buildings.get(each.building or "")
    on_a_pole = each.building is None or (building is not None and building.use == "yard pole")
    return on_a_pole or goes(each)


def _customers(draft: Draft, run: Run) -> bool:
    """Whether the customer replaces this run: a drop to a meter that nobody claims is the utility's."""
    to = draft.equipment.get(run.to or "")
    drop = run.from_ == UTILITY and to is not None and to.kind in _PASSES_ON
    return run.owner == "customer" or (run.owner is None and (not drop or run.fate == "replace"))


def _rating_for(proposal: Proposal, building: str) -> float | None:
    ratings = proposal.disconnect_ratings_a or {}
    return ratings.get(building, proposal.rating_a)


@dataclass(frozen=True, slots=True)
class _Supply:
    """One of several supplies: its meter, the panel that is renewed, its building, the old mains that serve it."""

    meter: str
    panel: str
    building: str
    mains: frozenset[str]


def _supplies(draft: Draft) -> list[_Supply]:
    """One supply for each panel that is a main, and for each building whose panels hang on switches of one meter."""
    graph = draft.graph()
    mains = [id for id in graph.service_disconnects if draft.equipment[id].fate not in STAYS]
    panels: dict[tuple[str, str, str], str] = {}
    held: dict[tuple[str, str, str], set[str]] = {}
    bare: list[str] = []
    for main in mains:
        below = nearest(graph, (id for id in graph.below(main) if draft.equipment[id].kind == "panel"))
        panel = next((id for id in below if not takes_down(draft.equipment[id])), None)
        if panel is None:
            bare.append(main)
            continue
        key = (meter_above(draft, main), draft.equipment[panel].building or panel, main if main == panel else "")
        panels.setdefault(key, panel)
        held.setdefault(key, set()).add(main)
    if not panels:
        raise ProposalError(
            "proposal.kind", "there is no panel below a service disconnect to renew; list what is there."
        )
    for main in bare:
        beside = next((key for key in panels if key[0] == meter_above(draft, main)), None)
        if beside is not None:
            held[beside].add(main)
    return [_Supply(key[0], panel, key[1], frozenset(held[key])) for key, panel in panels.items()]


def _fresh(name: str, names: set[str]) -> str:
    """The name, or with a number behind it where it is taken."""
    number, fresh = 1, name
    while fresh in names:
        number += 1
        fresh = f"{name}-{number}"
    names.add(fresh)
    return fresh
