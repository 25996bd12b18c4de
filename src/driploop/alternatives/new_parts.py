"""New equipment and runs: what they are, and what being new says of them and nothing more."""

from __future__ import annotations

from typing import Any

from driploop.alternatives.draft import Draft
from driploop.editions import Edition
from driploop.installation import Equipment, Proposal, Run
from driploop.installation.model import RACEWAYS, EquipmentKind, Insulation, Metal, Method, Role

_HUBS = frozenset({"RMC", "IMC"})
_NONMETALLIC = frozenset({
    "PVC 40", "PVC 80", "LFNC", "SE cable", "SER cable", "USE cable", "UF cable", "NM cable", "NMC cable",
    "direct-buried conductors",
})  # fmt: skip
_OVERHEAD = frozenset({"overhead triplex", "overhead open conductors"})
_BURIED = frozenset({"direct-buried conductors", "USE cable", "UF cable"})
#: What was seen of an old enclosure and says nothing of the one that takes its place.
_OLD_MARKS: dict[str, Any] = dict.fromkeys((
    "marked", "condition", "knockouts", "line_side_fitting", "neutral_bonded", "surge_protection", "circuits_max",
    "surge_discharge_ka",
    "handle_height_in", "backfed_main_fastened", "line_side_splices_marked", "suitable_as_service_equipment",
))  # fmt: skip


def bought(fitting: str | None = None) -> dict[str, object]:
    """What a new listed disconnect or panel has when it is installed to its instructions.

    ``fitting`` is how a raceway ahead of the service enters it; where that is not settled it stays open.
    """
    return {
        "terminal_temperature_c": 75, "line_terminals_covered": True, "unused_openings": 0,
        "neutrals_under_one_screw": 1, "fuse_in_neutral": False, "tandem_breakers": "none", "directory": "clear",
        "suitable_as_service_equipment": True, "line_side_fitting": fitting,
    }  # fmt: skip


def surge_device(edition: Edition) -> dict[str, object]:
    """The surge device that is bought: of the least discharge current that the edition asks for, where it asks."""
    least = {"surge_discharge_ka": edition.number("spd_discharge")} if edition.has("spd_discharge") else {}
    return {"surge_protection": "type 2", **least}


def in_place_of(old: Equipment, method: Method | None) -> dict[str, Any]:
    """The fields of old equipment that its replacement does not take over, with those that come with being new.

    A meter or a box has no main and no directory: of it only the old marks go.
    """
    if old.kind in ("meter", "junction box", "utility"):
        facts: dict[str, Any] = {"terminal_temperature_c": 75}
    else:
        facts = {**bought("nonmetallic" if method in _NONMETALLIC else None), "mains_count": 1}
    return {**_OLD_MARKS, **facts, "is_new": True}


def add_main(
    draft: Draft,
    proposal: Proposal,
    id: str,
    *,
    role: Role,
    near: str,
    kind: EquipmentKind,
    rating_a: float | None = None,
) -> None:
    """Put in the new outdoor device. ``near`` is the equipment whose building it hangs on where none is stated."""
    rating_a = rating_a or proposal.rating_a
    at = proposal.outdoor_place or (draft.equipment[near].building if near in draft.equipment else None)
    protected = role == "service disconnect"
    draft.add_equipment(
        Equipment.model_validate(
            {
                "id": id, "kind": kind, "building": at, "outdoors": True, "location": proposal.outdoor_location,
                "name": _device_name(role), "role": role, "rating_a": rating_a, "poles": 2,
                "main": "breaker" if protected else "none", "main_a": rating_a if protected else None,
                "mains_count": 1, "branch_protection": "breakers" if kind == "panel" else "none",
                "interrupting_rating_a": proposal.interrupting_rating_a, "is_new": True,
                **bought(_outdoor_fitting(proposal.method)),
            }
        )
    )  # fmt: skip


def _outdoor_fitting(method: Method | None) -> str | None:
    """Rigid conduit enters an outdoor device by its hub (common practice)."""
    if method in _HUBS:
        return "threaded hub"
    return "nonmetallic" if method in _NONMETALLIC else None


def _device_name(role: Role) -> str:
    return {
        "service disconnect": "Outdoor service disconnect",
        "emergency disconnect": "Outdoor emergency disconnect",
        "meter disconnect": "Meter disconnect",
        "site-isolating device": "Site-isolating device",
    }[role]


def renew_panel(
    draft: Draft, proposal: Proposal, panel: str, *, main_a: float | None, bus_a: float | None = None
) -> None:
    """Put a breaker panel in the place of the old one, unless the old one is to be kept."""
    old = draft.equipment[panel]
    if old.fate == "keep":
        return
    method = proposal.method if main_a else proposal.feeder_method or proposal.method
    draft.change(
        draft.equipment, panel, **in_place_of(old, method),
        kind="panel", branch_protection="breakers", spaces=proposal.panel_spaces, poles=2,
        rating_a=proposal.panel_rating_a or bus_a or main_a or proposal.rating_a or old.rating_a,
        main="breaker" if main_a else "none", main_a=main_a, interrupting_rating_a=proposal.interrupting_rating_a,
    )  # fmt: skip


def service_run(draft: Draft, proposal: Proposal, id: str, source: str, target: str) -> None:
    """Service conductors from the meter to the new main; old ones that are to be kept are only hung over."""
    old = draft.run_into(target)
    if old is not None and old.fate == "keep":
        draft.change(draft.runs, old.id, from_=source)
        return
    if old is not None:
        del draft.runs[old.id]
    draft.add_run(
        new_run(
            id, source, target, wires=3, method=proposal.method, metal=proposal.metal, insulation=proposal.insulation,
            length_ft=proposal.length_ft, ocpd_a=None, name="Service conductors",
        )
    )  # fmt: skip


def main_feeder(
    draft: Draft, proposal: Proposal, id: str, source: str, target: str, *, old: Run | None, ocpd_a: float | None
) -> None:
    """The run from the new device to the inside panel; ``old`` is the one that fed the panel as found.

    With an overcurrent device it is a feeder of four wires, without one it is still service conductors of three.
    """
    now = draft.run_into(target)
    if now is not None:
        del draft.runs[now.id]
    if old is not None and old.fate == "keep":
        kept = {"from_": source, "ocpd": "breaker" if ocpd_a else "none", "ocpd_a": ocpd_a}
        draft.runs[old.id] = old.model_copy(update=kept)
        return
    draft.add_run(
        new_run(
            id, source, target, wires=4 if ocpd_a else 3, method=proposal.feeder_method or proposal.method,
            metal=proposal.feeder_metal or proposal.metal, insulation=proposal.feeder_insulation,
            length_ft=proposal.feeder_length_ft or (old.length_ft if old else None), ocpd_a=ocpd_a,
            name="Feeder to the inside panel" if ocpd_a else "Service conductors to the inside main",
        )
    )  # fmt: skip


def new_run(
    id: str,
    source: str | None,
    target: str | None,
    *,
    wires: int,
    method: Method | None,
    metal: Metal | None,
    insulation: Insulation | None,
    length_ft: float | None,
    ocpd_a: float | None,
    name: str | None,
    **more: object,
) -> Run:
    """A run that is bought new, its sizes still to be chosen. ``more`` are further fields."""
    return Run.model_validate(
        {
            "id": id, "name": name, "from": source, "to": target, "owner": "customer", "method": method,
            "metal": metal, "insulation": insulation or usual_insulation(method), "length_ft": length_ft,
            "wires": wires, "ocpd": "breaker" if ocpd_a else "none", "ocpd_a": ocpd_a,
            "neutral_insulated": _neutral_insulated(method, wires), "overhead": True if method in _OVERHEAD else None,
            "buried": True if method in _BURIED else None, "is_new": True, **more,
        }
    )  # fmt: skip


def _neutral_insulated(method: Method | None, wires: int) -> bool:
    """Three-wire service cable and drops are sold with a bare neutral (common practice); all else is insulated."""
    return wires == 4 or method not in ("SE cable", *_OVERHEAD)


def usual_insulation(method: Method | None) -> Insulation | None:
    """The insulation such wiring is commonly bought with (common practice); None where the method is not chosen."""
    if method is None or method == "busbar or nipple":
        return None
    if method in RACEWAYS or method in ("SE cable", "SER cable", *_OVERHEAD):
        return "XHHW-2"
    if method in ("USE cable", "direct-buried conductors"):
        return "USE-2"
    return None
