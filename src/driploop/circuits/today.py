"""What stands ahead of a circuit's wire today, held against what may."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.circuits.decision import Decision
from driploop.circuits.motor_circuit import device_kind, motor_device
from driploop.circuits.need import Need
from driploop.circuits.protection_results import FoundVerdict, Protection
from driploop.circuits.wire import lost_in_insulation
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit


@dataclass(frozen=True, slots=True)
class Found:
    """The device that is there: its rating [A], its kind, the verdict, and the words for it."""

    rating_a: float | None
    kind: str | None
    verdict: FoundVerdict
    words: str

    @classmethod
    def of(cls, before: Protection) -> Found:
        """What the reading of the installation as found told."""
        return cls(before.found_a, before.found_kind, before.found, before.found_words)


@dataclass(frozen=True, slots=True)
class Limits:
    """Largest device of the found kind: at best, and as far as is known. ``by_machine``: the machine sets it. [A]"""

    best_a: float
    safe_a: float
    by_machine: bool = False


def judge_found(circuit: Circuit, decision: Decision, *, edition: Edition) -> Found:
    """The device that a circuit has, against what its wire and its load allow."""
    verdict, words = _judged(circuit, decision, edition)
    return Found(circuit.ocpd_a, circuit.ocpd, verdict, words)


def new_circuit() -> Found:
    """A circuit that was not there."""
    return Found(None, None, "new", "new circuit")


def _judged(circuit: Circuit, decision: Decision, edition: Edition) -> tuple[FoundVerdict, str]:
    if circuit.ocpd == "none":
        return "no device", "no device of its own is found"
    if circuit.ocpd_a is None:
        return "not known", "the device that is there was not read"
    on = _device_words(circuit)
    if decision.hopeful is None:
        return "not known", f"{on}: nobody can say whether it protects the wire"
    if lost_in_insulation(circuit):
        return "too large", f"{on}: {decision.why}"
    limits = found_limits(circuit, decision, edition=edition)
    if circuit.ocpd_a > limits.best_a:
        if limits.by_machine and circuit.ocpd_a <= decision.hopeful.ordinary.number:
            return "perhaps too large", f"{on}: more than the {limits.best_a:g} A of its motor"
        return "too large", f"{on}: what you find today; {limits.best_a:g} A is the most"
    least = decision.need.least
    if least is not None and circuit.ocpd_a < least.number:
        return "too small", f"{on}: its load asks {least.number:g} A"
    if circuit.ocpd_a > limits.safe_a:
        return "perhaps too large", f"{on}: {limits.safe_a:g} A as far as is known, {limits.best_a:g} A at best"
    return "suits", f"{on}: suits the wire"


def _device_words(circuit: Circuit) -> str:
    kind = "fuse" if circuit.ocpd in ("plug fuse", "cartridge fuse") else circuit.ocpd or "device"
    wire = f"{circuit.wire_size} {circuit.metal or ''}".rstrip() if circuit.wire_size else "wire of unknown size"
    return f"{circuit.ocpd_a:g} A {kind} on {wire}"


def found_limits(circuit: Circuit, decision: Decision, *, edition: Edition) -> Limits:
    """Largest device of the kind that is there, at best and as far as is known."""
    need = decision.need
    by_wire = decision.hopeful.ordinary.number if decision.hopeful is not None else 0.0
    by_wire_safe = min(by_wire, decision.ordinary_a or 0.0)
    own_a = _of_found_kind(circuit, need, edition)
    if own_a is None:
        return Limits(by_wire, by_wire_safe)
    if need.exception is None or need.overload in ("missing", "lost with the fuses"):
        return Limits(min(by_wire, own_a), min(by_wire_safe, own_a), by_machine=need.full_load_a is not None)
    held = need.overload == "not known"
    by_machine = need.full_load_a is not None
    return Limits(own_a, min(by_wire_safe, own_a) if held else own_a, by_machine)


def _of_found_kind(circuit: Circuit, need: Need, edition: Edition) -> float | None:
    """What the machine allows of the kind of device that is there, up to the ceiling. [A]"""
    if need.full_load_a is None or circuit.ocpd is None:
        most = need.ceiling or need.most
        return most.number if most is not None else None
    try:
        kind = device_kind(circuit.ocpd)
        device = motor_device(need.full_load_a, kind=kind, three_phase=need.three_phase, edition=edition)
    except NotInTable:
        return None
    fits = circuit.ocpd_a is None or circuit.ocpd_a <= device.usual.number
    return device.usual.number if fits else device.ceiling.number
