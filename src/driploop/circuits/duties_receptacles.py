"""Receptacles that are put in or changed: tamper-resistant, weather-resistant, and those without a ground."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_ground_fault import renews_receptacles
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.installation import Circuit
from driploop.worksheet import Assumption

#: What offices let the shop choose between where no ground reaches a receptacle.
_NO_GROUND_DO = "When replaced: two-hole type, or ground-fault protection with its label; or run a ground to them."


def ground_reaches(circuit: Circuit) -> bool | None:
    """Whether an equipment ground reaches the receptacles of a circuit; None where nobody knows. New wiring has one."""
    if circuit.ground is None:
        return True if circuit.is_new else None
    return circuit.ground not in ("none", "sheath that is not a ground")


def tamper_resistant(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duty of one circuit of a dwelling. Source: the edition's rule on tamper-resistant receptacles."""
    if not change.in_dwelling(circuit) or not _of_rooms(circuit):
        return
    answer, reason = _changed(change, circuit, "tamper-resistant")
    assumptions: tuple[Assumption, ...] = ()
    if answer == "yes" and circuit.receptacles is None:
        assumptions = _receptacles_there(circuit)
    yield Duty(
        f"circuits.{circuit.id}", "tamper-resistant", answer, reason, change.section("tamper-resistant"),
        "Put in receptacles marked TR.", (Need("tamper-resistant receptacle", _count(circuit)),), (), assumptions,
    )  # fmt: skip


def weather_resistant(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duty of one circuit with receptacles outdoors. Source: the edition's rule on damp and wet places."""
    building = change.building_of(circuit)
    wet = circuit.purpose == "outdoor" or (building is not None and bool(building.wet))
    if not wet or circuit.receptacles is False or circuit.poles not in (None, 1):
        return
    answer, reason = _changed(change, circuit, "weather-resistant")
    assumptions: tuple[Assumption, ...] = ()
    if answer == "yes" and circuit.receptacles is None:
        assumptions = _receptacles_there(circuit)
    yield Duty(
        f"circuits.{circuit.id}", "weather-resistant", answer, reason, change.section("weather-resistant"),
        "Put in receptacles marked WR, in wet places under a cover that closes over the plug.",
        (Need("weather-resistant receptacle with its cover", _count(circuit)),), (), assumptions,
    )  # fmt: skip


def without_a_ground(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duty of one old circuit that no ground reaches. Source: the edition's rule on replaced receptacles."""
    reaches = ground_reaches(circuit)
    if reaches or circuit.receptacles is False:
        return
    if circuit.receptacles is None and (reaches is None or circuit.poles in (2, 3)):
        return
    answer: Answer = "no"
    reason = "No ground reaches its receptacles; they may stay as they are until one is replaced."
    assumptions: tuple[Assumption, ...] = ()
    if reaches is None:
        reason = "Whether a ground reaches its receptacles is not known."
    if renews_receptacles(change, circuit):
        answer, reason = "yes", "No ground reaches its receptacles, and some are replaced or added."
        if reaches is None:
            reason = "Receptacles are replaced or added, and whether a ground reaches them is not known."
            assumptions = unseen(
                f"circuits.{circuit.id}.ground", "no ground reaches its receptacles",
                "what is done for want of a ground protects with one too", "the wires in one of its boxes, seen dead",
            )  # fmt: skip
    need = Need("two-hole receptacle, or one ground-fault outlet with its label", _count(circuit))
    yield Duty(
        f"circuits.{circuit.id}", "receptacles-without-a-ground", answer, reason,
        change.section("ungrounded-receptacles"), _NO_GROUND_DO, (need,), (), assumptions,
    )  # fmt: skip


def _of_rooms(circuit: Circuit) -> bool:
    return circuit.receptacles is not False and circuit.poles in (None, 1) and circuit.purpose != "spare"


def _changed(change: Change, circuit: Circuit, kind: str) -> tuple[Answer, str]:
    if renews_receptacles(change, circuit):
        return "yes", f"Receptacles put in or changed are {kind} now."
    return "no", "Its receptacles stay as they are."


def _count(circuit: Circuit) -> int:
    return max(1, circuit.receptacles_replaced + circuit.new_outlets)


def _receptacles_there(circuit: Circuit) -> tuple[Assumption, ...]:
    return unseen(
        f"circuits.{circuit.id}.receptacles", "it feeds receptacles", "the dearer kind serves every place", "false"
    )
