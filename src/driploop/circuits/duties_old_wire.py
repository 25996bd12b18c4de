"""Old wire that is landed anew: aluminum, knob-and-tube, cloth and rubber, wire of the coolest class."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.conductors import insulation_class
from driploop.editions import Edition
from driploop.installation import Circuit
from driploop.worksheet import Assumption

_CLOTH = ("rubber and cloth", "R")
_COOL_CABLES = ("NM cable", "NMC cable", "UF cable")
_CLOTH_DO = "Where it cracks when touched: splice outside the panel in a box, sleeve it, or replace it."


def small_aluminum(circuit: Circuit, edition: Edition) -> bool | None:
    """Whether a circuit is of small aluminum wire, whose devices must be made for it; None where not known."""
    if circuit.ocpd_a is not None and circuit.ocpd_a > edition.number("aluminum_branch_to_a"):
        return False
    return None if circuit.metal is None else circuit.metal == "aluminum"


def cloth(circuit: Circuit) -> bool | None:
    """Whether cloth or rubber covers the wire; None where nobody saw the insulation."""
    return None if circuit.insulation is None else circuit.insulation in _CLOTH


def sixty_degree(circuit: Circuit, edition: Edition) -> bool | None:
    """Whether the wire is of the coolest class and larger than the limits of small conductors reach; None: unknown."""
    if circuit.is_new:
        return False
    small = {str(row["size"]) for row in edition.table("small_conductors").rows}
    if circuit.wire_size in small:
        # Smaller sizes are held lower than any column by the limits of small conductors.
        return False
    cool = edition.number("small_terminal_temperature_c")
    cable = circuit.cable in _COOL_CABLES
    if cable or (circuit.insulation is not None and insulation_class(circuit.insulation, wet=False) <= cool):
        return None if circuit.wire_size is None else True
    return None if circuit.insulation is None or circuit.cable is None else False


def aluminum(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """Source: the edition's rule on devices for aluminum."""
    small = None if circuit.is_new and circuit.metal is None else small_aluminum(circuit, change.edition)
    if small is False or (small is None and circuit.is_new) or circuit.purpose == "spare":
        return
    most = change.edition.value("aluminum_branch_to_a").text
    assumed: tuple[Assumption, ...] = ()
    reason = "It is wired in aluminum."
    if small is None:
        reason = "The metal of its wire was not seen."
        assumed = unseen(
            f"circuits.{circuit.id}.metal",
            "aluminum",
            "devices for aluminum take copper too",
            "copper, seen on the wire",
        )
    yield Duty(
        f"circuits.{circuit.id}", "aluminum-branch-wiring", "yes", reason, change.section("aluminum-branch"),
        f"See that devices and splices to {most} are marked for aluminum.",
        (Need("devices and splices marked for aluminum, whole circuit"),), (), assumed,
    )  # fmt: skip


def knob_and_tube(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """Source: the edition's article on concealed knob-and-tube wiring."""
    if circuit.cable not in (None, "knob-and-tube") or (circuit.cable is None and circuit.is_new):
        return
    where = f"circuits.{circuit.id}"
    answer: Answer = "no"
    reason = "It is knob-and-tube wiring in free air; it may stay and be lengthened from where it is."
    do = "Replace that part by cable."
    assumed: tuple[Assumption, ...] = ()
    if circuit.cable is None:
        if circuit.in_thermal_insulation is False or circuit.purpose == "spare":
            return
        answer, reason = "yes", "How it is wired was not seen; it may be knob-and-tube in insulation."
        do = "Look into attic and walls where they are open."
        assumed = unseen(f"{where}.cable", "knob-and-tube", "it is the oldest wiring there is", "the cable, as seen")
    elif circuit.is_new:
        answer, reason = "yes", "Knob-and-tube wiring is planned as new work."
    elif circuit.in_thermal_insulation:
        answer, reason = "yes", "Knob-and-tube wiring runs through thermal insulation."
    elif circuit.in_thermal_insulation is None:
        answer, reason = "yes", "Whether this knob-and-tube lies in insulation is not known."
        do = "Look into attic and walls where they are open; it may not lie in insulation."
        where_in = f"{where}.in_thermal_insulation"
        assumed = unseen(where_in, "it does", "wiring taken out of insulation cannot overheat in it", "free air, seen")
    yield Duty(
        where, "knob-and-tube", answer, reason, change.section("knob-and-tube"), do,
        (Need("new cable in place of the part in insulation"),), (), assumed,
    )  # fmt: skip


def cloth_insulation(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """Source: the edition's rules on damaged parts and on boxes."""
    covered = cloth(circuit)
    if covered is False or circuit.is_new or circuit.purpose == "spare" or not change.lands_anew(circuit):
        return
    reason = "Cloth or rubber insulation must reach the new panel."
    assumed: tuple[Assumption, ...] = ()
    if covered is None:
        reason = "What insulates its wire was not seen."
        assumed = unseen(
            f"circuits.{circuit.id}.insulation", "cloth or rubber that cracks",
            "a splice box more is never wrong", "the print or the feel of it at the old panel, seen dead",
        )  # fmt: skip
    needs = (Need("splice box outside the panel, or sleeving"),)
    section = change.section("brittle-insulation")
    where = f"circuits.{circuit.id}"
    yield Duty(where, "cloth-insulation", "yes", reason, section, _CLOTH_DO, needs, (), assumed)


def coolest_class(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """Source: the edition's rules on cable and terminal temperature."""
    cool = change.edition.value("small_terminal_temperature_c").text
    answer = sixty_degree(circuit, change.edition)
    if answer is False or circuit.purpose == "spare":
        return
    reason = f"Its wire is of the {cool} class."
    assumed: tuple[Assumption, ...] = ()
    if answer is None:
        reason = f"Whether its wire is of the {cool} class was not seen."
        field = "wire_size" if circuit.cable is not None and circuit.insulation is not None else "insulation"
        if circuit.cable is None:
            field = "cable"
        assumed = unseen(f"circuits.{circuit.id}.{field}", f"the {cool} class", "the smaller breaker opens sooner",
                         "the print on the wire")  # fmt: skip
    yield Duty(
        f"circuits.{circuit.id}", "sixty-degree-wire", "yes", reason, change.section("sixty-degree-wire"),
        f"Choose its breaker by the {cool} column, whatever the new terminals are marked.",
        (Need("breaker chosen by the coolest column"),), (), assumed,
    )  # fmt: skip
