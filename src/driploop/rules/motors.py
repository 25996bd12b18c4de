"""Motors and fixed machines: their wire, their device, and the switch in sight of them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from driploop.circuits.old_disconnects_required import COOLING, is_large_appliance, is_motor
from driploop.conductors.motor import NoMotorColumnError, motor_branch_device, motor_conductor_current
from driploop.conductors.motor import motor_full_load_current as full_load
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Load
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks
from driploop.rules.old_wire import largest_ampacity
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
        most_a = _largest_device(circuit.ocpd, full_load_a, motor.phase == 3, r.edition)
        if circuit.ocpd_a > most_a:
            wrong = f"A {circuit.ocpd_a:g} A {circuit.ocpd} feeds {motor.title}; {most_a:g} A is the most for it."
            mend = f"Put in one of {most_a:g} A at most; more only where the motor does not start on that."
            # An old motor may have been given more so that it starts, and small ones may share a circuit.
            verdict = None if circuit.is_new else Verdict.ASK
            if circuit.is_new or asks(r):
                yield Found(f"circuits.{circuit.id}.ocpd_a", wrong, mend, verdict)


@rule(
    "motor-disconnect-in-sight",
    title="A motor has a switch in sight of it",
    why="Who has an arm in the conveyor must know that nobody starts it. "
    "A switch within sight is held open by the one who works, not by a promise from the other building.",
    requirement="motor-disconnect",
)
def motor_disconnect_in_sight(r: Readings) -> Iterator[Found]:
    yield from _in_sight(r, [load for load in r.installation.loads.values() if is_motor(load)])


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


def _motors(r: Readings) -> Iterator[tuple[Circuit, Load, float]]:
    """Circuits that feed one motor and nothing else, with its table current. [A]"""
    for circuit in r.installation.circuits.values():
        loads = [r.installation.loads[id] for id in r.graph.loads_on.get(circuit.id, ())]
        if len(loads) != 1 or not is_motor(loads[0]) or loads[0].volts is None or loads[0].count != 1:
            continue
        motor = loads[0]
        current = _table_current(motor.hp or "", motor.volts or 0, 3 if motor.phase == 3 else 1, r.edition)
        if current is not None and motor.mca_a is None and motor.mocp_a is None:
            yield circuit, motor, current


@lru_cache(maxsize=512)
def _table_current(hp: str, volts: int, phase: int, edition: Edition) -> float | None:
    try:
        return full_load(hp, volts=volts, phase=3 if phase == 3 else 1, edition=edition).number
    except (NotInTable, NoMotorColumnError):
        return None


@lru_cache(maxsize=512)
def _largest_device(kind: str, full_load_a: float, three_phase: bool, edition: Edition) -> float:
    motor_type = "squirrel cage other than Design B energy-efficient" if three_phase else "single-phase"
    device = "inverse_time_breaker" if kind == "breaker" else "nontime_delay_fuse"
    if kind == "time-delay fuse":
        return motor_branch_device(full_load_a, kind="dual_element_fuse", motor_type=motor_type, edition=edition).number
    if device == "inverse_time_breaker":
        return motor_branch_device(full_load_a, motor_type=motor_type, edition=edition).number
    return motor_branch_device(full_load_a, kind="nontime_delay_fuse", motor_type=motor_type, edition=edition).number
