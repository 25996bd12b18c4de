"""Ground-fault protection: receptacles by place, outdoor outlets with the dates of their exceptions, appliances."""

from __future__ import annotations

from collections.abc import Iterator, Set

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.editions import Edition
from driploop.installation import Building, Circuit, Load
from driploop.installation.graph import DWELLING_USES
from driploop.worksheet import Assumption

WET_OR_EARTHED = ("bathroom", "garage", "outdoor", "laundry", "small appliance")
COOLING = frozenset({"air conditioner", "heat pump"})
_KITCHEN_KINDS = frozenset({"range", "oven", "cooktop", "dishwasher", "disposer", "microwave", "refrigerator"})
_FRAME_KINDS = frozenset({"range", "oven", "cooktop", "dryer"})
#: Loads that stand inside a dwelling wherever they stand.
_INDOORS = frozenset({
    "range", "oven", "cooktop", "dryer", "dishwasher", "disposer", "microwave", "electric heat", "supplemental heat",
    "thermal storage heat", "furnace blower", "water heater", "instantaneous water heater", "heat lamp",
})  # fmt: skip
_OUTBUILDINGS = frozenset({"garage", "storage", "workshop"})
_BASEMENT = ("basement", "cellar")
_DO = "Fit a ground-fault breaker, or such receptacles."
_OUTDOORS_DO = "Feed its outlet through ground-fault protection."


def renews_receptacles(change: Change, circuit: Circuit) -> bool:
    """Whether the job puts receptacles on a circuit: new wiring, outlets added, old ones replaced."""
    return circuit.is_new or circuit.new_outlets > 0 or circuit.receptacles_replaced > 0


# --- receptacles by place ----------------------------------------------------------------------------------------


def ground_fault_place(change: Change, circuit: Circuit) -> bool | None:
    """Whether the receptacles of a dwelling circuit lie where the edition asks for ground-fault protection.

    None where nobody said what the circuit serves, or the edition asks in a part of the room only.
    """
    if not change.in_dwelling(circuit):
        return False
    kinds: set[str | None] = {load.kind for load in change.loads_on(circuit)}
    room = (circuit.room or "").lower()
    if circuit.poles in (2, 3) or kinds & _FRAME_KINDS:
        return _line_to_line_place(change, circuit, kinds, room)
    if circuit.purpose in WET_OR_EARTHED:
        return True
    if any(word in room for word in _BASEMENT):
        return True if change.edition.has("gfci-whole-basement") else None
    if "kitchen" in room or kinds & _KITCHEN_KINDS:
        return True if change.edition.has("gfci-whole-kitchen") else None
    return None if circuit.purpose is None else False


def _line_to_line_place(change: Change, circuit: Circuit, kinds: Set[str | None], room: str) -> bool | None:
    if not change.edition.has("gfci-receptacles-to-250-v"):
        return False
    if circuit.purpose in WET_OR_EARTHED or "dryer" in kinds or any(word in room for word in _BASEMENT):
        return True
    if "kitchen" in room or kinds & _KITCHEN_KINDS:
        return True if change.edition.has("gfci-whole-kitchen") else None
    return None if circuit.purpose is None and not kinds else False


def ground_fault_receptacles(change: Change, circuit: Circuit, *, four_wires: bool = False) -> Iterator[Duty]:
    """The duty of one circuit of a dwelling; ``four_wires``: its receptacle must be changed for one of four wires.

    Source: the edition's places of ground-fault protection.
    """
    place = ground_fault_place(change, circuit)
    if place is False or circuit.receptacles is False or circuit.purpose == "spare":
        return
    where = f"circuits.{circuit.id}"
    answer: Answer = "no"
    assumptions: tuple[Assumption, ...] = ()
    if circuit.gfci:
        reason = "It has ground-fault protection."
    elif not (renews_receptacles(change, circuit) or four_wires):
        reason = "Its receptacles stay as they are; when one is replaced, it gets ground-fault protection."
    else:
        answer = "yes"
        served = circuit.purpose or circuit.room or "such"
        reason = f"New {served} receptacles have no ground-fault protection stated."
        if four_wires:
            reason = "Its receptacle is changed for one of four wires, and has no ground-fault protection stated."
        if place is None:
            assumptions = unseen(
                f"{where}.purpose", "its receptacles lie near water or earth", "protection too much harms nobody",
                "the room, and how far from a sink the receptacles are",
            )  # fmt: skip
        elif circuit.gfci is None:
            assumptions = unseen(
                f"{where}.gfci", "none", "protection too much harms nobody", "the test button on breaker or receptacle"
            )
    if answer == "no" and place is None and not circuit.gfci:
        return
    poles = "two poles" if circuit.poles == 2 else "one pole"
    yield Duty(
        where, "ground-fault-receptacles", answer, reason, change.section("gfci-receptacles"), _DO,
        (Need(f"ground-fault breaker, {poles}"),), (), assumptions,
    )  # fmt: skip


# --- outdoor outlets ---------------------------------------------------------------------------------------------


def ground_fault_outdoors(change: Change, load: Load) -> Iterator[Duty]:
    """The duty of one outdoor load of a dwelling. Source: the edition's rule on outdoor outlets and its exceptions."""
    circuit = change.graph.installation.circuits.get(load.circuit or "")
    outdoor = load.kind in COOLING or (circuit is not None and circuit.purpose == "outdoor")
    may_be = circuit is not None and circuit.purpose is None and load.kind not in _INDOORS
    building = change.graph.installation.buildings.get(change.graph.building_of(load) or "")
    if not (outdoor or may_be) or building is None or not _outlets_of_a_dwelling(change, building):
        return
    answer, reason, readings, assumptions = _outdoor(change, load, circuit)
    if not outdoor:
        if answer == "no":
            return
        reason = "Whether this new outlet is outdoors is not known, and no ground-fault protection of it is stated."
        assumptions = unseen(
            f"circuits.{load.circuit}.purpose",
            "outdoors",
            "protection too much harms nobody",
            "what its circuit is for",
        )
    yield Duty(
        f"loads.{load.id}", "ground-fault-outdoors", answer, reason, change.section("gfci-outdoor"), _OUTDOORS_DO,
        (Need("ground-fault breaker, two poles" if (load.volts or 240) > 120 else "ground-fault breaker, one pole"),),
        readings, assumptions,
    )  # fmt: skip


def _outlets_of_a_dwelling(change: Change, building: Building) -> bool:
    """Whether outdoor outlets here count as a dwelling's; newer editions take its garage and outbuildings in."""
    if building.use in DWELLING_USES:
        return True
    beside_a_house = change.graph.installation.site_kind == "residence" and building.use in _OUTBUILDINGS
    return beside_a_house and change.edition.has("gfci-outdoor-outbuildings")


_Outdoor = tuple[Answer, str, tuple[str, ...], tuple[Assumption, ...]]
#: What offices say of cooling equipment since its exception ran out.
_COOLING_READINGS = (
    "the exception for listed cooling equipment has ended, and the breaker has ground-fault protection",
    "many towns amended the rule and leave listed cooling equipment out",
)


def _outdoor(change: Change, load: Load, circuit: Circuit | None) -> _Outdoor:
    edition = change.edition
    if not edition.has("gfci-outdoor"):
        return "no", f"{edition.name} has no such rule for outlets outdoors.", (), ()
    if circuit is not None and circuit.gfci:
        return "no", "It has ground-fault protection.", (), ()
    if not (load.is_new or (circuit is not None and circuit.is_new)):
        return "no", "The equipment it feeds is not replaced.", (), ()
    device_a, most = (
        (circuit.ocpd_a if circuit is not None else None) or load.mocp_a,
        edition.value("gfci_outdoor_to_a"),
    )
    if device_a is not None and device_a > most.number:
        return "no", f"Its device of {device_a:g} A is larger than {most.text}.", (), ()
    if load.kind not in COOLING:
        reason = "This new outdoor outlet has no ground-fault protection stated."
        if circuit is None or circuit.gfci is None:
            where = f"circuits.{circuit.id}.gfci" if circuit is not None else f"loads.{load.id}.circuit"
            words = ("none", "protection too much harms nobody", "ground-fault protection that is planned for it")
            return "yes", reason, (), unseen(where, *words)
        return "yes", reason, (), ()
    return _cooling(change)


def _cooling(change: Change) -> _Outdoor:
    edition, permit = change.edition, change.permit_date
    hard_wired = "Its outdoor unit is hard-wired without ground-fault protection."
    if not edition.has("gfci_hvac_exempt_until"):
        note = edition.entry("gfci_hvac_exempt_until").note.rstrip(".")
        return "ask the office", f"{hard_wired} {note[:1].upper()}{note[1:]}.", _COOLING_READINGS, ()
    ends = str(edition.value("gfci_hvac_exempt_until").value)
    if permit is None:
        words = f"Note the permit date: listed equipment was excepted until {ends}."
        return "ask the office", f"{hard_wired} {words}", _COOLING_READINGS, ()
    if permit >= ends:
        return "yes", hard_wired, _COOLING_READINGS, ()
    return "no", f"Listed cooling equipment is excepted until {ends}.", (), ()


# --- appliances --------------------------------------------------------------------------------------------------


def is_named_appliance(load: Load, circuit: Circuit | None, *, edition: Edition) -> bool:
    """Whether the edition names it among the appliances of a dwelling that have ground-fault protection."""
    kinds = {str(load.kind), str(circuit.stays_on) if circuit is not None else ""}
    return bool(kinds & set(str(edition.value("gfci_appliance_kinds").value).split(", ")))


def ground_fault_appliance(change: Change, load: Load) -> Iterator[Duty]:
    """The duty of one named appliance of a dwelling. Source: the edition's list of appliances."""
    circuit = change.graph.installation.circuits.get(load.circuit or "")
    if not is_named_appliance(load, circuit, edition=change.edition):
        return
    building = change.graph.installation.buildings.get(change.graph.building_of(load) or "")
    if building is None or building.use not in DWELLING_USES:
        return
    answer: Answer = "yes"
    assumptions: tuple[Assumption, ...] = ()
    reason = f"{load.title} gets a new outlet, and the edition names it among the appliances."
    if circuit is not None and circuit.gfci:
        answer, reason = "no", "Its circuit has ground-fault protection."
    elif not (load.is_new or (circuit is not None and renews_receptacles(change, circuit))):
        answer, reason = "no", f"{load.title} and its outlet stay as they are."
    elif circuit is not None and (circuit.ocpd_a or 0.0) > (most := change.edition.value("gfci_appliance_to_a")).number:
        answer, reason = "no", f"Its device of {circuit.ocpd_a:g} A is larger than {most.text}."
    elif circuit is None or circuit.gfci is None:
        assumptions = unseen(
            f"circuits.{circuit.id}.gfci" if circuit is not None else f"loads.{load.id}.circuit",
            "none", "protection too much harms nobody", "ground-fault protection that is planned, or built in",
        )  # fmt: skip
    yield Duty(
        f"loads.{load.id}", "ground-fault-appliance", answer, reason, change.section("gfci-appliances"),
        "Fit a ground-fault breaker, or a ground-fault outlet where the plug is reached.",
        (Need("ground-fault breaker, two poles" if (load.volts or 120) > 120 else "ground-fault breaker, one pole"),),
        (), assumptions,
    )  # fmt: skip
