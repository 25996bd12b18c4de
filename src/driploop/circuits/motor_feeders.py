"""Feeders of several motors: what their wire must carry, and the largest device that may stand at their head."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import fsum

from driploop.circuits.motor_circuit import device_kind, full_load_current, motor_device
from driploop.circuits.need import is_hermetic, line_volts
from driploop.circuits.reading import system_volts
from driploop.conductors import next_standard_up
from driploop.conductors.motor import motor_feeder_current, motor_feeder_device
from driploop.conductors.results import ConductorReading
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Graph, Load, Run
from driploop.loads.motors import phase_va
from driploop.loads.nameplate import MOTOR_KINDS
from driploop.loads.results import LoadReading
from driploop.worksheet import Assumption, Cited, Worksheet, WorksheetWriter, plain


@dataclass(frozen=True, slots=True)
class MotorFeeder:
    """A feeder with two motors or more.

    ``carry``: what its wire must carry. ``most``: the largest device by its motors, None where no current of them is
    known. ``wire_a``: what its wire carries, which a larger device may be chosen by. [A] ``unread``: motors whose
    current nobody read; they are missing from both sums.
    """

    run: str
    motors: tuple[str, ...]
    carry: Cited
    most: Cited | None
    device_a: float | None
    wire_a: float | None
    unread: tuple[str, ...]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()

    @property
    def device_too_large(self) -> bool | None:
        """Whether the device is above both what the motors and what the wire allow; None where that is not known."""
        if self.device_a is None:
            return None
        known = max(self.most.number if self.most is not None else 0.0, self.wire_a or 0.0)
        if self.device_a <= known:
            return False
        return None if self.unread or self.most is None or self.wire_a is None else True


@dataclass(frozen=True, slots=True)
class _Motor:
    """One motor: the current that counts on each line, the same as the load stage counts it, the largest device. [A]"""

    load: Load
    on_each_line_a: float
    in_load_a: float
    device_a: float
    words: str


def read_motor_feeders(
    graph: Graph, conductors: ConductorReading, loads: LoadReading, *, edition: Edition
) -> Mapping[str, MotorFeeder]:
    """Every feeder with two motors or more below it, by the id of its run.

    Args:
        graph: the installation.
        conductors: its conductors, for the device and the wire of each feeder.
        loads: its calculated loads, for what is no motor.
        edition: the code edition to ask.

    Source: the edition's rules on conductors and on the device of a feeder of several motors.
    """
    found: dict[str, MotorFeeder] = {}
    for id, sizing in conductors.runs.items():
        run = graph.installation.runs[id]
        motors = [load for load in graph.loads_below(run.to or "") if _turns(load)]
        if sizing.kind == "feeder" and sum(load.count for load in motors) > 1:
            found[id] = _feeder(graph, run, motors, conductors, loads, edition)
    return found


def _turns(load: Load) -> bool:
    return load.kind != "generator" and (load.kind in MOTOR_KINDS or load.hp is not None or is_hermetic(load))


def _feeder(
    graph: Graph, run: Run, loads: list[Load], conductors: ConductorReading, reading: LoadReading, edition: Edition
) -> MotorFeeder:
    sizing = conductors.runs[run.id]
    read = [(load, _motor(graph, load, edition)) for load in loads]
    motors = sorted((m for load, m in read if m for _ in range(load.count)), key=lambda m: -m.on_each_line_a)
    unread = tuple(load.title for load, motor in read if motor is None)
    writer = WorksheetWriter(f"circuits/{run.id}/motor-feeder", "Feeder of several motors")
    for motor in motors:
        writer.number(
            motor.load.title, motor.words, round(motor.on_each_line_a, 2), "A", edition.section("motor-feeder")
        )
    for title in unread:
        writer.write(title, "nameplate not read", "not known", "", edition.section("motor-feeder"))
    currents = [motor.on_each_line_a for motor in motors] or [0.0]
    node = reading.nodes.get(run.to or "")
    in_load = motor_feeder_current([motor.in_load_a for motor in motors] or [0.0], edition=edition)
    other_a = max((node.conductor_current_a if node else 0.0) - in_load.number, 0.0)
    writer.number(
        "Other load", "calculated load with its continuous part raised, less the motors", round(other_a, 2), "A",
        edition.section("load-continuous"), key="other",
    )  # fmt: skip
    carry = motor_feeder_current(currents, other_a=other_a, edition=edition)
    words = f"largest {plain(round(currents[0], 2))} A raised, and {plain(round(fsum(currents[1:]) + other_a, 2))} A"
    writer.cite("The wire must carry", words, Cited(round(carry.number, 2), "A", carry.section), key="carry")
    most = _most(motors, other_a, writer, edition)
    if sizing.ocpd_a is not None:
        writer.number("Device at its head", "survey or proposal", sizing.ocpd_a, "A", key="device")
    return MotorFeeder(
        run.id, tuple(motor.load.id for motor in motors), carry, most, sizing.ocpd_a,
        _wire_device(sizing.ampacity_a, edition), unread, writer.done(), _assumed(loads, unread),
    )  # fmt: skip


def _most(motors: list[_Motor], other_a: float, writer: WorksheetWriter, edition: Edition) -> Cited | None:
    if not motors:
        return None
    largest = max(motors, key=lambda motor: motor.device_a)
    rest = list(motors)
    rest.remove(largest)
    others = [motor.on_each_line_a for motor in rest]
    try:
        most = motor_feeder_device(largest.device_a, [*others, other_a], edition=edition)
    except NotInTable:
        return None
    told = f"{plain(round(fsum(others), 2))} A of the other motors, {plain(round(other_a, 2))} A of other load"
    words = f"{plain(largest.device_a)} A of {largest.load.title}, {told}, rounded down"
    writer.cite("Largest device by the motors", words, most, key="most_device")
    return most


def _motor(graph: Graph, load: Load, edition: Edition) -> _Motor | None:
    circuit = graph.installation.circuits.get(load.circuit or "") or Circuit(id="")
    line_v = system_volts(graph.installation)
    volts, three_phase = line_volts(load, circuit, line_v), load.phase == 3
    by_table = None
    if load.hp is not None:
        by_table = full_load_current(load.hp, volts=volts, phase=3 if three_phase else 1, edition=edition)
    current_a = by_table.number if by_table is not None else load.rla_a or load.mca_a or load.current_a
    if current_a is None and (va := load.va or (load.kw or 0.0) * 1000):
        current_a = va / volts
    if current_a is None:
        return None
    share = min(volts / line_v, 1.0)
    words = f"{load.hp} hp by the motor table" if by_table is not None else "nameplate"
    if share < 1:
        words = f"{words}: {plain(round(current_a, 2))} A at {volts:g} V, by its share of {line_v:g} V"
    device_a = _branch_device(load, circuit, current_a, motor=by_table is not None, edition=edition)
    in_load_a = phase_va(current_a, volts=volts, phase=3 if three_phase else 1) / line_v
    return _Motor(load, current_a * share, in_load_a, device_a, words)


def _branch_device(load: Load, circuit: Circuit, current_a: float, *, motor: bool, edition: Edition) -> float:
    """The largest device of one motor alone; of hermetic equipment its plate's; else the smallest that carries it."""
    if load.mocp_a is not None:
        return load.mocp_a
    try:
        if motor:
            kind, three = device_kind(circuit.ocpd), load.phase == 3
            return motor_device(current_a, kind=kind, three_phase=three, edition=edition).usual.number
        return next_standard_up(current_a, edition=edition).number
    except NotInTable:
        return current_a


def _wire_device(ampacity_a: float | None, edition: Edition) -> float | None:
    if ampacity_a is None:
        return None
    try:
        return next_standard_up(ampacity_a, edition=edition).number
    except NotInTable:
        return ampacity_a


def _assumed(loads: list[Load], unread: tuple[str, ...]) -> tuple[Assumption, ...]:
    return tuple(_not_read(load) for load in loads if load.title in unread)


def _not_read(load: Load) -> Assumption:
    return Assumption(
        f"loads.{load.id}.hp",
        "left out of the feeder's sums of motors, and its device is not called right",
        "a sum without it allows the smaller device",
        "its horsepower or its current",
    )
