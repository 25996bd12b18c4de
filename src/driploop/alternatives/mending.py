"""What a finding asks for, as parts of a proposal: the small repair, the new circuit, the new run.

A mending is laid over the proposal and the installation is read again, so that a finding counts as mended only when
the rule that raised it is content.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from driploop.alternatives.larger import Mending, larger_feeder, larger_panel, outdoor_disconnect, own_circuit
from driploop.alternatives.local_mending import local_mending, rods_missing
from driploop.alternatives.new_parts import surge_device, usual_insulation
from driploop.alternatives.trade import metals, methods
from driploop.circuits.duties_ground_fault import is_named_appliance
from driploop.circuits.wire import largest_lawful_device
from driploop.editions import Edition
from driploop.installation import Bond, Building, Circuit, Electrode, Equipment, Proposal, Run
from driploop.installation.model import Part
from driploop.rules import Readings
from driploop.rules.branch_circuits import needed_device, standard_device
from driploop.worksheet import Finding

#: Repairs of an enclosure that stays or is bought: what is true when they are done.
_ENCLOSURE: Mapping[str, tuple[Mapping[str, Any], str]] = {
    "directory-says-what-is-fed": ({"directory": "clear"}, "write its directory anew"),
    "unused-openings-closed": ({"unused_openings": 0}, "close its unused openings"),
    "one-neutral-per-terminal": ({"neutrals_under_one_screw": 1}, "give each neutral its own terminal"),
    "fuse-in-the-neutral": ({"fuse_in_neutral": False}, "take the fuse out of the neutral and make it solid"),
    "line-side-barriers": ({"line_terminals_covered": True}, "cover its line terminals"),
    "line-side-splices-marked": ({"line_side_splices_marked": True}, "use blocks marked for the line side"),
    "line-side-raceway-bonded": ({"line_side_fitting": "bonding bushing"}, "bond its line-side raceway by a bushing"),
    "knockouts-need-a-jumper": ({"line_side_fitting": "bonding bushing"}, "bond its line-side raceway by a bushing"),
    "backfed-main-held-down": ({"backfed_main_fastened": True}, "fasten its back-fed main"),
    "service-disconnect-marked": ({"marked": "SERVICE DISCONNECT"}, "mark it as the service disconnect"),
    "breakers-listed-for-the-panel": ({"foreign_breakers": False}, "fit breakers that its label lists"),
    "light-to-work-by": ({"lit": True}, "give it light"),
    "dedicated-space-kept-clear": ({"dedicated_space_clear": True}, "clear the space above and before it"),
    "not-exposed-to-damage": ({"exposed_to_damage": False}, "protect it from blows"),
    "bond-once": ({"neutral_bonded": False}, "part its neutral from the enclosure"),
    "neutral-not-bonded-at-fed-building": ({"neutral_bonded": False}, "part its neutral from the enclosure"),
    "bond-at-the-service": ({"neutral_bonded": True}, "join its neutral and enclosure"),
    "feeder-tap-barriers": ({"line_terminals_covered": True}, "cover its line terminals"),
}
_RUN: Mapping[str, tuple[Mapping[str, Any], str]] = {
    "service-cable-protected": ({"protected_from_damage": True}, "protect it where it can be damaged"),
    "drip-loop": ({"drip_loop": True}, "make a drip loop"),
    "only-power-on-the-mast": ({"mast_carries_other_cables": False}, "take everything else off the mast"),
    "underground-entry-sealed": ({"entry_sealed": True}, "seal the raceway where it enters"),
    "service-head-above-attachment": ({"head_above_attachment": True}, "set the head above the attachment"),
    "local-unguyed-mast": ({"mast_guyed": True}, "guy or brace the mast"),
}
_ELECTRODE: Mapping[str, tuple[Mapping[str, Any], str]] = {
    "electrodes-present-are-joined": ({"connected": True}, "join it to the system"),
    "water-meter-jumper": ({"meter_jumper": True}, "lead a jumper round the meter and filters"),
    "water-pipe-connected-near-entry": ({"connection_from_entry_ft": 0.0}, "join it where it enters"),
    "electrode-conductor-not-spliced": ({"splice": "none"}, "run its conductor in one piece"),
    "electrode-conductor-protected": ({"conductor_protected": True}, "protect its conductor"),
    "steel-sleeve-bonded-both-ends": ({"steel_raceway_bonded_both_ends": True}, "bond the sleeve at both ends"),
    "buried-clamp-listed": ({"clamp_listed_for_burial": True}, "use a clamp made for the earth"),
    "electrode-conductor-size": ({"conductor_size": None, "conductor_metal": "copper"}, "run a larger conductor to it"),
    "aluminum-electrode-conductor-out-of-earth": (
        {"conductor_size": None, "conductor_metal": "copper", "conductor_above_earth_in": None},
        "run a copper conductor to it",
    ),
}
_BOND: Mapping[str, tuple[Mapping[str, Any], str]] = {
    "water-piping-bonded": ({"present": True, "size": None}, "bond it"),
    "gas-piping-bonded": ({"present": True, "size": None}, "bond it"),
    "structural-steel-bonded": ({"present": True, "size": None}, "bond it"),
    "intersystem-termination-present": ({"present": True}, "fit the termination"),
    "intersystem-termination-has-terminals": ({"terminals": 3}, "fit one with room for every service"),
}
_GROUND_FAULT = frozenset({
    "ground-fault-protection-of-new-receptacles", "appliance-has-ground-fault-protection", "gfci-outdoors",
    "agricultural-receptacles-have-ground-fault-protection",
})  # fmt: skip
_SURGE = frozenset({
    "surge-protection-at-the-service", "surge-protection-on-feeders", "surge-device-discharge-current",
})  # fmt: skip
_NEEDS_A_ROD = frozenset({
    "second-electrode-for-a-rod", "water-pipe-supplemented", "electrode-at-each-building", "rod-length",
    "rod-diameter", "rod-driven-upright", "rod-laid-deep-enough",
})  # fmt: skip
_BAD_PLACE = frozenset({
    "panel-leaves-the-bad-place", "no-panel-in-a-bathroom", "no-panel-in-a-clothes-closet", "no-panel-over-steps",
    "working-space-depth", "working-space-width", "working-space-height", "handle-not-too-high", "readily-accessible",
})  # fmt: skip
#: Of another place nothing is known yet.
_NEW_PLACE: Mapping[str, Any] = {
    **dict.fromkeys(("room", "working_depth_in", "working_width_in", "working_height_in", "handle_height_in")),
    "readily_accessible": True, "location": "another place, to be chosen",
}  # fmt: skip
_TOO_SMALL = frozenset({"panel-bus-carries-the-load", "building-disconnect-rating"})
#: Of a run that is made anew these facts of the old one say nothing.
_OLD_RUN: Mapping[str, Any] = dict.fromkeys((
    "trade_size", "line_size", "neutral_size", "egc", "egc_size", "egc_metal", "damaged", "year_installed",
    "support_spacing_in", "lowest_over_ground_ft", "over_roof_ft", "from_openings_ft", "attachment_height_ft",
    "drip_loop", "protected_from_damage", "burial_depth_in",
))  # fmt: skip
_OLD_CIRCUIT: Mapping[str, Any] = {
    **dict.fromkeys(("wire_size", "metal", "insulation", "cable", "length_ft", "in_thermal_insulation",
                     "current_carrying", "extend_ft", "fate", "neutral_covered")),
    "is_new": True, "ocpd": "breaker", "ground": "wire", "frame_grounded_by_neutral": False,
}  # fmt: skip


def mendings_for(finding: Finding, readings: Readings, *, edition: Edition) -> tuple[Mending, ...]:
    """The mending of a finding, of one or several parts; empty where there is none that the shop can promise."""
    table, _, rest = finding.where.partition(".")
    id = rest.partition(".")[0]
    if finding.rule == "emergency-disconnect-at-fed-dwelling":
        return outdoor_disconnect(finding, readings)
    if finding.rule == "gfci-outdoors" and (own := own_circuit(id, readings)):
        return own
    if finding.rule == "local-rods" and (each := readings.installation.equipment.get(id)) is not None:
        missing = range(rods_missing(readings, id))
        return tuple(_rod(each.building, id, readings, edition, beyond=beyond) for beyond in missing)
    if (local := local_mending(finding, readings)) is not None:
        return (local,)
    ways: Mapping[str, Callable[[Finding, str, Readings, Edition], Mending | None]] = {
        "circuits": _circuit, "loads": _load, "equipment": _equipment, "runs": _run, "electrodes": _electrode,
        "buildings": _building, "bonds": _bond,
    }  # fmt: skip
    found = ways[table](finding, id, readings, edition) if table in ways else None
    return (found,) if found is not None else ()


def with_mendings(proposal: Proposal, mendings: Iterable[Mending]) -> Proposal:
    """The proposal with mendings laid over what it states."""
    models: Mapping[str, type[Part]] = {
        "circuits": Circuit,
        "equipment": Equipment,
        "runs": Run,
        "electrodes": Electrode,
        "bonds": Bond,
        "buildings": Building,
    }
    laid: dict[str, dict[str, Any]] = {table: dict(getattr(proposal, table)) for table in models}
    for each in (mending for mending in mendings if mending.table in models):
        parts, model = laid[each.table], models[each.table]
        if each.id in parts:
            # model_copy does not enter new fields as set, and only those that are set are laid over.
            known = parts[each.id]
            stated = {name: getattr(known, name) for name in known.model_fields_set}
            parts[each.id] = model.model_construct(**{**_blank(model), **stated, **each.fields})
            object.__setattr__(parts[each.id], "__pydantic_fields_set__", {*stated, *each.fields})
        else:
            parts[each.id] = model.model_validate({"id": each.id, **each.fields})
    return proposal.model_copy(update=laid)


def _blank(model: type[Part]) -> dict[str, Any]:
    return {name: field.get_default() for name, field in model.model_fields.items()}


def _circuit(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    circuit = r.installation.circuits.get(id)
    if circuit is None:
        return None
    what = circuit.serves or circuit.title
    if finding.rule == "afci-when-extended":
        return Mending("circuits", id, {"afci": True}, f"{what}: fit arc-fault protection")
    if finding.rule in _GROUND_FAULT:
        return Mending("circuits", id, {"gfci": True}, f"{what}: fit ground-fault protection")
    if finding.rule == "breaker-protects-the-old-wire" and circuit.wire_size is not None:
        panel = r.installation.equipment.get(circuit.from_ or "")
        allowed = largest_lawful_device(circuit, panel, hopeful=False, edition=edition)
        needed = needed_device(r, circuit)
        carries = allowed is not None and (needed is None or needed.number <= allowed)
        if allowed is not None and carries and allowed < (circuit.ocpd_a or 0.0):
            words = f"{what}: {allowed:g} A in place of {circuit.ocpd_a:g} A"
            return Mending("circuits", id, {"ocpd_a": allowed}, words)
    fields: dict[str, Any] = {}
    if finding.rule == "device-carries-the-appliance" and (needed := needed_device(r, circuit)) is not None:
        fields = {"ocpd_a": standard_device(needed.number, edition=edition)}
        if fields["ocpd_a"] is None:
            return None
        if circuit.is_new:
            words = f"{what}: {fields['ocpd_a']:g} A in place of {circuit.ocpd_a:g} A, and wire to match"
            return Mending("circuits", id, {**fields, "wire_size": None}, words)
    if circuit.is_new:
        return None
    neutral = None if circuit.neutral == "bare" else circuit.neutral
    loads = [r.installation.loads[load] for load in r.graph.loads_on.get(id, ())]
    if circuit.gfci is None and any(is_named_appliance(load, circuit, edition=edition) for load in loads):
        fields["gfci"] = True
    words = f"{what}: run a new circuit"
    return Mending("circuits", id, {**_OLD_CIRCUIT, **fields, "neutral": neutral}, words)


def _load(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    load = r.installation.loads.get(id)
    circuit = r.installation.circuits.get(load.circuit or "") if load is not None else None
    return _circuit(finding, circuit.id, r, edition) if circuit is not None else None


def _equipment(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    each = r.installation.equipment.get(id)
    if each is None:
        return None
    if finding.rule in _SURGE:
        return Mending("equipment", id, surge_device(edition), f"{each.title}: fit surge protection")
    if finding.rule in _ENCLOSURE:
        fields, words = _ENCLOSURE[finding.rule]
        return Mending("equipment", id, fields, f"{each.title}: {words}")
    if each.is_new and finding.rule in _BAD_PLACE:
        return Mending("equipment", id, _NEW_PLACE, f"{each.title}: hang it in another place, to be chosen")
    if each.is_new and finding.rule == "plug-fuses-tamper":
        return Mending("equipment", id, {"branch_protection": "breakers"}, f"{each.title}: breakers, not fuses")
    if finding.rule == "intersystem-termination-present":
        fields = {"kind": "intersystem termination", "building": each.building, "equipment": id, "present": True,
                  "terminals": 3, "is_new": True}  # fmt: skip
        return Mending("bonds", f"added-termination-{id}", fields, f"{each.title}: fit an intersystem termination")
    if finding.rule in _TOO_SMALL:
        return larger_panel(each, r, edition)
    if finding.rule == "tandem-breakers-only-where-listed" and each.tandem_breakers == "elsewhere":
        return Mending("equipment", id, {"tandem_breakers": "none"}, f"{each.title}: take out tandem breakers")
    return None


def _run(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    run = r.installation.runs.get(id)
    if run is None:
        return None
    if finding.rule in _RUN:
        fields, words = _RUN[finding.rule]
        return Mending("runs", id, fields, f"{run.title}: {words}")
    if run.is_new:
        return larger_feeder(finding, run, r, edition)
    sizing = r.conductors.runs.get(id)
    if sizing is not None and sizing.kind == "utility":
        words = f"{run.title}: the utility makes it anew; measure it then"
        return Mending("runs", id, {**_OLD_RUN, "is_new": True}, words)
    service = r.graph.is_service_run(run)
    method = run.method if run.method not in (None, "overhead open conductors", "knob-and-tube") else None
    if method == "SE cable" and not service:
        method = "SER cable"
    method = method or methods("service_overhead" if service else "feeder_inside")[0]
    fields = {
        **_OLD_RUN, "is_new": True, "method": method, "metal": run.metal or metals()[0], "sets": 1,
        "insulation": usual_insulation(method), "wires": 3 if service else 4, "neutral_insulated": True, "fate": None,
        "ocpd": run.ocpd if service else None, "ocpd_a": None,
    }  # fmt: skip
    return Mending("runs", id, fields, f"{run.title}: put in new conductors", large=True)


def _electrode(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    electrode = r.installation.electrodes.get(id)
    if electrode is None:
        return None
    if finding.rule in _NEEDS_A_ROD:
        building, lands = electrode.building, electrode.conductor_to
        return _rod(building, lands, r, edition) if lands is not None else None
    if finding.rule == "rods-six-feet-apart":
        length_ft = edition.number("rod_length_ft")
        return Mending("electrodes", id, {"spacing_ft": length_ft}, f"{electrode.title}: drive it {length_ft:g} ft off")
    if finding.rule in _ELECTRODE:
        fields, words = _ELECTRODE[finding.rule]
        return Mending("electrodes", id, fields, f"{electrode.title}: {words}")
    return None


def _building(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    building = r.installation.buildings.get(id)
    if finding.rule == "equipotential-plane" and building is not None:
        words = f"{building.title}: lay an equipotential plane where animals stand"
        return Mending("buildings", id, {"equipotential_plane": True}, words)
    lands = next((s.lands_at for s in r.grounding.systems.values() if s.building == id), None)
    if finding.rule in _NEEDS_A_ROD and lands is not None:
        return _rod(id, lands, r, edition)
    return None


def _rod(building: str | None, lands: str, r: Readings, edition: Edition, *, beyond: int = 0) -> Mending:
    """One more rod; ``beyond`` counts those that the same finding asks for before it."""
    number = 1 + beyond + sum(id.startswith("added-rod-") for id in r.installation.electrodes)
    fields = {
        "kind": "rod", "building": building, "connected": True, "conductor_to": lands, "splice": "none",
        "clamp_listed_for_burial": True, "length_ft": edition.number("rod_length_ft"), "is_new": True,
        "diameter_in": edition.number("rod_diameter_in"), "spacing_ft": edition.number("rod_length_ft"),
        "name": "Added ground rod",
    }  # fmt: skip
    where = building or lands
    return Mending("electrodes", f"added-rod-{where}-{number}", fields, f"{where.replace('-', ' ')}: drive a rod")


def _bond(finding: Finding, id: str, r: Readings, edition: Edition) -> Mending | None:
    bond = r.installation.bonds.get(id)
    if bond is None or finding.rule not in _BOND:
        return None
    fields, words = _BOND[finding.rule]
    lands = bond.equipment or next(iter(r.graph.service_disconnects), None)
    return Mending("bonds", id, {**fields, "equipment": lands}, f"{bond.title}: {words}")
