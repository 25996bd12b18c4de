"""Motors and fixed machines: their wire, their device, and the switch in sight of them."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.motor_circuit import device_kind, full_load_current, motor_device
from driploop.circuits.old_disconnects_required import COOLING, is_fixed_motor, is_large_appliance
from driploop.circuits.wire import largest_ampacity
from driploop.conductors.motor import motor_conductor_current
from driploop.installation import Circuit, Load
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_IN_SIGHT = "A switch or breaker that is seen from it and within {0}, or one that locks open."


@rule(
    "motor-conductor-carries-the-motor",
    title="The wire of a motor carries more than its full-load current",
    why="A pump that strains draws more than its plate says, for minutes, every day. "
    "Wire with nothing in hand ages at each start until it fails in the well.",
    requirement="motor-branch-circuit",
)
def motor_conductor_carries_the_motor(r: Readings) -> Iterator[Found]:
    for circuit, motor, full_load_a in _motors(r):
        if circuit.wire_size is None:
            continue
        needed_a = motor_conductor_current(full_load_a, edition=r.edition).number
        panel = r.installation.equipment.get(circuit.from_ or "")
        has_a = largest_ampacity(circuit, panel, edition=r.edition)
        if has_a is not None and has_a < needed_a:
            wrong = f"{motor.title} needs wire for {needed_a:.1f} A; {circuit.wire_size} carries {has_a:g} A at best."
            yield Found(f"circuits.{circuit.id}.wire_size", wrong, "Run larger wire to it.")


@rule(
    "motor-device-not-too-large",
    title="The device of a motor is within what the code allows a motor",
    why="A motor may have a larger device than its wire, so that it can start. "
    "Past the limit a short in the windings burns before the device opens.",
    requirement="motor-branch-circuit",
)
def motor_device_not_too_large(r: Readings) -> Iterator[Found]:
    for circuit, motor, full_load_a in _motors(r):
        if circuit.ocpd_a is None or circuit.ocpd not in ("breaker", "time-delay fuse", "plug fuse", "cartridge fuse"):
            continue
        three = motor.phase == 3
        device = motor_device(full_load_a, kind=device_kind(circuit.ocpd), three_phase=three, edition=r.edition)
        most_a = device.usual.number
        if circuit.ocpd_a > most_a:
            wrong = f"A {circuit.ocpd_a:g} A {circuit.ocpd} feeds {motor.title}; {most_a:g} A is the most for it."
            mend = f"Put in one of {most_a:g} A at most; more only where the motor does not start on that."
            # An old motor may have been given more so that it starts, and small ones may share a circuit.
            verdict = None if circuit.is_new else Verdict.ASK
            if circuit.is_new or asks(r):
                yield Found(f"circuits.{circuit.id}.ocpd_a", wrong, mend, verdict)


@rule(
    "motor-overload-protection",
    title="A motor has overload protection of its own",
    why="A jammed pump draws five times its current and trips no breaker that lets it start. "
    "Without an overload device its windings burn, and the shed with them.",
    requirement="motor-overload",
)
def motor_overload_protection(r: Readings) -> Iterator[Found]:
    for load in r.installation.loads.values():
        if not is_fixed_motor(load):
            continue
        where, fit = f"loads.{load.id}.overload_protection", "Fit a starter or a motor switch with an overload device."
        circuit = r.installation.circuits.get(load.circuit or "")
        if load.overload_protection == "none":
            yield Found(where, "Nothing opens when it runs overloaded.", fit)
        elif load.overload_protection == "fuses of the circuit" and circuit is not None and circuit.ocpd == "breaker":
            yield Found(where, "The fuses that were its overload protection have become a breaker.", fit)


@rule(
    "motor-disconnect-in-sight",
    title="A motor has a switch in sight of it",
    why="Who has an arm in the conveyor must know that nobody starts it. "
    "A switch within sight is held open by the one who works, not by a promise from the other building.",
    requirement="motor-disconnect",
)
def motor_disconnect_in_sight(r: Readings) -> Iterator[Found]:
    yield from _in_sight(r, [load for load in r.installation.loads.values() if is_fixed_motor(load)])


@rule(
    "cooling-disconnect-in-sight",
    title="Outdoor cooling and heat pump units have a switch in sight of them",
    why="The thermostat starts the fan while a hand is in it. "
    "The switch beside the unit is the only one that its repairer trusts.",
    requirement="ac-disconnect",
)
def cooling_disconnect_in_sight(r: Readings) -> Iterator[Found]:
    yield from _in_sight(r, [load for load in r.installation.loads.values() if load.kind in COOLING])


@rule(
    "appliance-disconnect-in-sight",
    title="A fixed appliance has a switch in sight, or a breaker that locks",
    why="A water heater is opened by a plumber, who cannot see the panel and does not know who is near it. "
    "A breaker that locks keeps the neighbour's hand off.",
    requirement="appliance-disconnect",
)
def appliance_disconnect_in_sight(r: Readings) -> Iterator[Found]:
    large = [load for load in r.installation.loads.values() if is_large_appliance(load, edition=r.edition)]
    yield from _in_sight(r, large)


def _in_sight(r: Readings, loads: list[Load]) -> Iterator[Found]:
    within = r.edition.value("in_sight_ft").text
    mend = _IN_SIGHT.format(within)
    for load in loads:
        if load.disconnect_in_sight is False:
            verdict = Verdict.MEND if load.is_new else Verdict.KNOW
            yield Found(f"loads.{load.id}.disconnect_in_sight", "No switch is in sight of it.", mend, verdict)
    unknown = [load for load in loads if load.disconnect_in_sight is None]
    if unknown and asks(r):
        names = ", ".join(load.title for load in unknown)
        first = min(unknown, key=lambda load: load.id)
        verdict = Verdict.ASK if any(load.is_new for load in unknown) else Verdict.KNOW
        wrong = f"Whether a switch is in sight is not noted for: {names}."
        yield Found(f"loads.{first.id}.disconnect_in_sight", wrong, mend, verdict)


@rule(
    "motor-feeder-device-not-too-large",
    title="The device of a feeder of several motors is within what motors or wire allow",
    why="A feeder of motors may have a larger device than its load, so that the largest can start. "
    "Past the limit a short in the shed is left to burn until something else opens.",
    requirement="motor-feeder",
)
def motor_feeder_device_not_too_large(r: Readings) -> Iterator[Found]:
    for each in r.motor_feeders.values():
        where = f"runs.{each.run}.ocpd_a"
        if each.device_too_large and each.most is not None:
            wrong = f"A {each.device_a:g} A device heads a feeder of motors that allow {each.most.number:g} A at most."
            yield Found(where, wrong, f"Put in one of {max(each.most.number, each.wire_a or 0):g} A or less.")
        elif each.device_too_large is None and each.device_a is not None and asks(r):
            missing = ", ".join((*each.unread, *(() if each.wire_a else ("the wire of the feeder",))))
            wrong = f"Whether its {each.device_a:g} A device is too large for its motors is not known: {missing}."
            mend = "Read the plates of its motors, and the size and metal of its wire."
            yield Found(where, wrong, mend, Verdict.ASK)


def _motors(r: Readings) -> Iterator[tuple[Circuit, Load, float]]:
    """Circuits that feed one motor and nothing else, with its table current. [A]"""
    for circuit in r.installation.circuits.values():
        loads = [r.installation.loads[id] for id in r.graph.loads_on.get(circuit.id, ())]
        if len(loads) != 1 or not is_fixed_motor(loads[0]) or loads[0].volts is None or loads[0].count != 1:
            continue
        motor = loads[0]
        found = full_load_current(
            motor.hp or "", volts=motor.volts or 0, phase=3 if motor.phase == 3 else 1, edition=r.edition
        )
        if found is not None and motor.mca_a is None and motor.mocp_a is None:
            yield circuit, motor, found.number
