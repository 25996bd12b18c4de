"""The kinds of outdoor device: how each one changes what hangs where.

Each function takes a draft of what was found and leaves the new equipment and runs in it, not yet sized.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.installation import UTILITY, Equipment, Graph, Proposal, Run
from driploop.installation.model import RACEWAYS, Insulation, Method, Role

NEW_MAIN = "new-main"
SERVICE = "service"
MAIN_FEEDER = "main-feeder"

Build = Callable[[Draft, Proposal], None]


def service_inside(draft: Draft, proposal: Proposal) -> None:
    """The main stays with the inside panel; the old switches beside it go."""
    panel = _panel_taken_over(draft, proposal)
    meter = _meter_above(draft, panel)
    _gather_old_mains(draft, keep=panel, into=panel, meter=meter)
    _renew_panel(draft, proposal, panel, main_a=proposal.rating_a)
    _service_run(draft, proposal, SERVICE, meter, panel)


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
    meter = _meter_above(draft, panel)
    _add_main(draft, proposal, NEW_MAIN, role="service disconnect", near=meter, kind="panel")
    _gather_old_mains(draft, keep=panel, into=NEW_MAIN, meter=meter)
    draft.remove_equipment(panel, hand_to=NEW_MAIN)
    _service_run(draft, proposal, SERVICE, meter, NEW_MAIN)


def several_service_disconnects(draft: Draft, proposal: Proposal) -> None:
    """One service disconnect to each dwelling unit or building, each in its own enclosure, grouped."""
    graph = draft.graph()
    mains = [id for id in graph.service_disconnects if draft.equipment[id].fate != "keep"]
    if not mains:
        raise ProposalError(
            "proposal.kind", "there is no service disconnect to replace; list what hangs below each meter."
        )
    for panel in mains:
        building = draft.equipment[panel].building or panel
        meter = _meter_above(draft, panel)
        suffix = f"-{building}"
        _add_main(
            draft, proposal, NEW_MAIN + suffix, role="service disconnect", near=meter, kind="disconnect",
            rating_a=_rating_for(proposal, building),
        )  # fmt: skip
        _renew_panel(draft, proposal, panel, main_a=None, bus_a=_rating_for(proposal, building))
        _service_run(draft, proposal, SERVICE + suffix, meter, NEW_MAIN + suffix)
        _feeder(draft, proposal, MAIN_FEEDER + suffix, NEW_MAIN + suffix, panel, _rating_for(proposal, building))


def farm_distribution_point(draft: Draft, proposal: Proposal) -> None:
    """One device at the pole, feeders from it to every building."""
    graph = draft.graph()
    old = [id for id in graph.service_disconnects if _goes(draft.equipment[id])]
    meter = _meter_above(draft, old[0]) if old else _only_meter(draft)
    role: Role = "site-isolating device" if proposal.site_isolating else "service disconnect"
    kind = "disconnect" if proposal.site_isolating else "panel"
    _add_main(draft, proposal, NEW_MAIN, role=role, near=meter, kind=kind)
    for id in old:
        draft.remove_equipment(id, hand_to=NEW_MAIN)
    for run in [r for r in draft.runs.values() if r.from_ == meter]:
        draft.change(draft.runs, run.id, from_=NEW_MAIN)
    _service_run(draft, proposal, SERVICE, meter, NEW_MAIN)


def meter_only(draft: Draft, proposal: Proposal) -> None:
    """Nothing but the meter socket is replaced."""
    for id, each in list(draft.equipment.items()):
        if each.kind == "meter":
            draft.change(draft.equipment, id, is_new=True)


def panel_only(draft: Draft, proposal: Proposal) -> None:
    """The panel is replaced in its place; the conductors that feed it stay."""
    panel = _panel_taken_over(draft, proposal)
    found_main = draft.equipment[panel].main_a
    _renew_panel(draft, proposal, panel, main_a=proposal.rating_a or found_main)


def service_cable_only(draft: Draft, proposal: Proposal) -> None:
    """The service conductors are replaced; the panel stays."""
    panel = _panel_taken_over(draft, proposal)
    _service_run(draft, proposal, SERVICE, _meter_above(draft, panel), panel)


BY_KIND: Mapping[str, Build] = {
    "service disconnect inside": service_inside,
    "service disconnect outdoors": service_outdoors,
    "emergency disconnect": emergency_disconnect,
    "meter disconnect": meter_disconnect,
    "everything outdoors": everything_outdoors,
    "several service disconnects": several_service_disconnects,
    "farm distribution point": farm_distribution_point,
}
BY_SCOPE: Mapping[str, Build] = {
    "meter only": meter_only,
    "panel only": panel_only,
    "service cable only": service_cable_only,
}


# --- pieces ------------------------------------------------------------------------------------------------------


def _device_ahead_of_panel(draft: Draft, proposal: Proposal, *, role: Role) -> None:
    panel = _panel_taken_over(draft, proposal)
    meter = _meter_above(draft, panel)
    is_service = role == "service disconnect"
    _gather_old_mains(draft, keep=panel, into=panel, meter=meter)
    _add_main(draft, proposal, NEW_MAIN, role=role, near=meter, kind="disconnect")
    _renew_panel(draft, proposal, panel, main_a=None if is_service else proposal.rating_a)
    _service_run(draft, proposal, SERVICE, meter, NEW_MAIN)
    _feeder(draft, proposal, MAIN_FEEDER, NEW_MAIN, panel, proposal.rating_a if is_service else None)


def _goes(equipment: Equipment) -> bool:
    return equipment.fate in ("remove", "replace", None)


def _panel_taken_over(draft: Draft, proposal: Proposal) -> str:
    """The panel the new one takes the place of: named, else the one that the old service disconnect is or feeds."""
    if proposal.panel is not None:
        return proposal.panel
    graph = draft.graph()
    for id in graph.service_disconnects:
        for below in graph.below(id):
            if draft.equipment[below].kind == "panel":
                return below
    raise ProposalError("proposal.panel", "no panel hangs below the service disconnect; name the panel to take over.")


def _only_meter(draft: Draft) -> str:
    return next((id for id, each in draft.equipment.items() if each.kind == "meter"), UTILITY)


def _meter_above(draft: Draft, equipment: str) -> str:
    """The meter ahead of this equipment; the utility's end of the supply where none was listed."""
    for id in draft.graph().path_up(equipment):
        if id in draft.equipment and draft.equipment[id].kind == "meter":
            return id
    return UTILITY


def _gather_old_mains(draft: Draft, *, keep: str, into: str, meter: str) -> None:
    """Take out the old disconnects between the meter and the panel, and those beside it that go."""
    graph: Graph = draft.graph()
    between = [id for id in graph.path_up(keep) if id in draft.equipment and id != meter]
    between = [id for id in between if draft.equipment[id].kind != "meter"]
    beside = [
        id
        for id in graph.service_disconnects
        if id not in (keep, into) and id not in between and _goes(draft.equipment[id])
        and _meter_above(draft, id) == meter
    ]  # fmt: skip
    for id in (*between, *beside):
        draft.remove_equipment(id, hand_to=into)


def _rating_for(proposal: Proposal, building: str) -> float | None:
    ratings = proposal.disconnect_ratings_a or {}
    return ratings.get(building, proposal.rating_a)


def _add_main(
    draft: Draft, proposal: Proposal, id: str, *, role: Role, near: str, kind: str, rating_a: float | None = None
) -> None:
    rating_a = rating_a or proposal.rating_a
    at = proposal.outdoor_place or (draft.equipment[near].building if near in draft.equipment else None)
    protected = role == "service disconnect"
    draft.equipment[id] = Equipment.model_validate(
        {
            "id": id, "kind": kind, "building": at, "outdoors": True, "location": proposal.outdoor_location,
            "name": _device_name(role), "role": role, "rating_a": rating_a, "poles": 2,
            "main": "breaker" if protected else "none", "main_a": rating_a if protected else None, "mains_count": 1,
            "branch_protection": "breakers" if kind == "panel" else "none",
            "interrupting_rating_a": proposal.interrupting_rating_a, "is_new": True, **_as_new(proposal.method),
        }
    )  # fmt: skip


def _device_name(role: Role) -> str:
    return {
        "service disconnect": "Outdoor service disconnect",
        "emergency disconnect": "Outdoor emergency disconnect",
        "meter disconnect": "Meter disconnect",
        "site-isolating device": "Site-isolating device",
    }[role]


def _as_new(method: Method | None) -> dict[str, object]:
    """What listed equipment has when it is new and wired with care; the rules still look at the rest."""
    return {
        "suitable_as_service_equipment": True, "terminal_temperature_c": 75, "line_terminals_covered": True,
        "unused_openings": 0, "neutrals_under_one_screw": 1, "fuse_in_neutral": False, "tandem_breakers": "none",
        "line_side_fitting": "threaded hub" if method in ("RMC", "IMC") else "nonmetallic",
        "directory": "clear", "line_side_splices_marked": True,
    }  # fmt: skip


def _renew_panel(
    draft: Draft, proposal: Proposal, panel: str, *, main_a: float | None, bus_a: float | None = None
) -> None:
    """Put a breaker panel in the place of the old one, unless the old one is to be kept."""
    old = draft.equipment[panel]
    if old.fate == "keep":
        return
    draft.change(
        draft.equipment, panel, **_as_new(proposal.feeder_method or proposal.method),
        kind="panel", is_new=True, branch_protection="breakers", spaces=proposal.panel_spaces or old.spaces,
        rating_a=proposal.panel_rating_a or bus_a or main_a or proposal.rating_a, main_a=main_a,
        main="breaker" if main_a else "none", mains_count=1, marked=None, condition=None,
        interrupting_rating_a=proposal.interrupting_rating_a, neutral_bonded=None,
    )  # fmt: skip


def _service_run(draft: Draft, proposal: Proposal, id: str, source: str, target: str) -> None:
    old = draft.run_into(target)
    if old is not None:
        del draft.runs[old.id]
    draft.runs[id] = _new_run(
        id, source, target, wires=3, method=proposal.method, metal=proposal.metal, insulation=proposal.insulation,
        length_ft=proposal.length_ft, ocpd_a=None, name="Service conductors",
    )  # fmt: skip


def _feeder(draft: Draft, proposal: Proposal, id: str, source: str, target: str, ocpd_a: float | None) -> None:
    old = draft.run_into(target)
    if old is not None and old.fate == "keep":
        draft.change(draft.runs, old.id, from_=source, ocpd="breaker" if ocpd_a else "none", ocpd_a=ocpd_a)
        return
    if old is not None:
        del draft.runs[old.id]
    draft.runs[id] = _new_run(
        id, source, target, wires=4 if ocpd_a else 3, method=proposal.feeder_method or proposal.method,
        metal=proposal.feeder_metal or proposal.metal, insulation=proposal.feeder_insulation,
        length_ft=proposal.feeder_length_ft or (old.length_ft if old else None), ocpd_a=ocpd_a,
        name="Feeder to the inside panel" if ocpd_a else "Service conductors to the inside main",
    )  # fmt: skip


def _new_run(
    id: str,
    source: str,
    target: str,
    *,
    wires: int,
    method: Method | None,
    metal: str | None,
    insulation: Insulation | None,
    length_ft: float | None,
    ocpd_a: float | None,
    name: str,
) -> Run:
    return Run.model_validate(
        {
            "id": id, "name": name, "from": source, "to": target, "owner": "customer", "method": method,
            "metal": metal, "insulation": insulation or usual_insulation(method), "length_ft": length_ft,
            "wires": wires, "ocpd": "breaker" if ocpd_a else "none", "ocpd_a": ocpd_a, "neutral_insulated": True,
            "is_new": True,
        }
    )  # fmt: skip


def usual_insulation(method: Method | None) -> Insulation | None:
    """The insulation such wiring is commonly bought with (common practice); None where the method is not chosen."""
    if method is None or method == "busbar or nipple":
        return None
    if method in RACEWAYS or method in ("SE cable", "SER cable", "overhead triplex", "overhead open conductors"):
        return "XHHW-2"
    if method in ("USE cable", "direct-buried conductors"):
        return "USE-2"
    return None
