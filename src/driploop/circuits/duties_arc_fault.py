"""Arc-fault protection of old branch wiring: rooms, the six-foot measure, new outlets, replaced wire."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.installation import Circuit
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter

#: Purposes that lie in rooms without this duty, and those that surely lie in rooms with it.
_NO_ARC_FAULT = ("bathroom", "garage", "outdoor", "spare")
_ROOMS_WITH_ARC_FAULT = ("general", "small appliance", "laundry")
_DO = "Fit an arc-fault breaker, or an arc-fault outlet at the first receptacle, or move the panel less."
_NEEDS = (Need("arc-fault breaker, one pole"),)
#: What offices say of a panel that is changed where it hangs.
IN_PLACE_READINGS = (
    "a panel changed where it hangs does not lengthen the wiring, and nothing is awakened",
    "some towns ask for arc-fault breakers in every panel that is changed",
)
#: What offices say of the measure where the edition does not tell what counts.
MEASURE_READINGS = (
    "the measure is taken between the enclosures; what lies inside them does not count",
    "the whole new wire counts, from splice to breaker",
)


def in_arc_fault_rooms(change: Change, circuit: Circuit) -> bool:
    """Whether a circuit may serve rooms of a dwelling that ask for arc-fault protection."""
    if not change.in_dwelling(circuit) or circuit.purpose in _NO_ARC_FAULT or circuit.poles not in (None, 1):
        return False
    # A fuse found too large is brought down to its wire; a circuit planned larger is no room circuit.
    planned_a = circuit.ocpd_a if change.proposed else None
    return planned_a is None or planned_a <= change.edition.number("afci_to_a")


def arc_fault(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duty of one circuit; none where no such room is served. Source: the edition's rule on old branch wiring."""
    if not in_arc_fault_rooms(change, circuit):
        return
    where = f"circuits.{circuit.id}"
    answer, reason = _answer(change, circuit)
    assumptions: tuple[Assumption, ...] = ()
    readings: tuple[str, ...] = ()
    replaced = circuit.receptacles_replaced and not (circuit.is_new or circuit.new_outlets)
    section = change.section("afci-receptacle-replaced" if replaced else "afci-extension")
    length_ft, free = circuit.extend_ft, change.edition.value("afci_extension_ft")
    worksheet = None
    if reason is None:
        worksheet = _measure(change, circuit) if length_ft is not None else None
        if length_ft is None:
            answer, reason, assumptions = _not_measured(change, circuit, free.text)
            readings = IN_PLACE_READINGS if answer == "no" else ()
        elif length_ft > free.number:
            answer, reason = "yes", f"It is lengthened by {length_ft:g} ft; {free.text} are free."
        elif length_ft and not change.edition.has("afci-measure-outside"):
            answer, readings = "ask the office", MEASURE_READINGS
            reason = f"It is lengthened by {length_ft:g} ft between enclosures; whether more counts is read both ways."
        else:
            answer, reason = "no", f"It is lengthened by {length_ft:g} ft outside enclosures; {free.text} are free."
            if length_ft == 0:
                reason, readings = "It is not lengthened outside enclosures.", IN_PLACE_READINGS
    if answer == "yes" and not assumptions and circuit.purpose not in _ROOMS_WITH_ARC_FAULT:
        assumptions = unseen(
            f"{where}.purpose", "it serves rooms that have arc-fault protection",
            "a breaker too many protects too", "the rooms it serves; bathrooms, garages and outdoors have none",
        )  # fmt: skip
    yield Duty(where, "arc-fault-protection", answer, reason, section, _DO, _NEEDS, readings, assumptions, worksheet)


def _answer(change: Change, circuit: Circuit) -> tuple[Answer, str | None]:
    """What is settled without the measure; a reason of None where the measure decides."""
    if circuit.afci:
        return "no", "It has arc-fault protection."
    if circuit.is_new:
        return "yes", "It is new wiring, or replaces old, in rooms that have arc-fault protection."
    if circuit.new_outlets:
        return "yes", f"It gets {circuit.new_outlets} more outlets or devices; then no length of wire is free."
    if circuit.receptacles_replaced:
        return "yes", "Receptacles on it are replaced where today one would have arc-fault protection."
    return "no", None


def _not_measured(change: Change, circuit: Circuit, free: str) -> tuple[Answer, str, tuple[Assumption, ...]]:
    where = f"circuits.{circuit.id}.extend_ft"
    if change.moves(circuit):
        return "yes", "It lands in a panel that hangs elsewhere; how far it is lengthened was not measured.", unseen(
            where, "it is lengthened by more than is free", "a breaker too many protects too",
            f"its length outside boxes and enclosures, {free} or less",
        )  # fmt: skip
    return "no", "The new panel hangs where the old one hung; nothing is lengthened outside enclosures.", unseen(
        where, "0 ft, as the panel stays where it was", "said here, so that a wire too short is not overlooked",
        f"a wire that must be lengthened by more than {free} outside enclosures",
    )  # fmt: skip


def _measure(change: Change, circuit: Circuit) -> Worksheet:
    free = change.edition.value("afci_extension_ft")
    writer = WorksheetWriter(f"duty/{circuit.id}/arc-fault", f"Six-foot measure of {circuit.serves or circuit.title}")
    writer.cite("Free length", "no new outlet or device", free, key="free")
    counted = writer.number("Lengthened outside enclosures", "as measured", circuit.extend_ft or 0, "ft", key="length")
    over = counted > free.number
    writer.write(
        "Arc-fault protection by length", f"{counted:g} {'>' if over else '<='} {free.number:g}",
        "yes" if over else "no", "", free.section, key="answer",
    )  # fmt: skip
    return writer.done()
