"""The duties that a change awakens: every circuit, load, feeder and enclosure asked in turn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from driploop.circuits.change import Change
from driploop.circuits.duties_arc_fault import arc_fault
from driploop.circuits.duties_farm import agricultural
from driploop.circuits.duties_ground_fault import (
    ground_fault_appliance,
    ground_fault_outdoors,
    ground_fault_receptacles,
)
from driploop.circuits.duties_keep_on import keep_on
from driploop.circuits.duties_multiwire import multiwire, multiwire_pairs
from driploop.circuits.duties_old_wire import aluminum, cloth_insulation, coolest_class, knob_and_tube
from driploop.circuits.duties_range_dryer import NEEDS, three_wire
from driploop.circuits.duties_receptacles import tamper_resistant, weather_resistant, without_a_ground
from driploop.circuits.duties_results import TITLES, Duty
from driploop.circuits.duties_supply import feeder, surge
from driploop.installation import Circuit


def read_duties(change: Change) -> tuple[Duty, ...]:
    """Every duty that a change awakens, or might be thought to awaken, with its answer.

    A duty of which no part can be meant is left out: a circuit of a garage says nothing of arc-fault protection. What
    was not seen answers yes, with its assumption: never no where an answer could say yes.

    Args:
        change: what will stand, what was found, the edition and the permit date.

    Returns:
        The duties in the order of the paper, then of the survey.

    Raises:
        NotInEdition: the edition lacks a name this stage asks for.
    """
    order = {id: place for place, id in enumerate(TITLES)}
    return tuple(sorted(_all(change), key=lambda duty: order[duty.id]))


def _all(change: Change) -> Iterator[Duty]:
    parts = change.graph.installation
    for circuit in parts.circuits.values():
        yield from _of_circuit(change, circuit)
    for load in parts.loads.values():
        yield from ground_fault_outdoors(change, load)
        yield from ground_fault_appliance(change, load)
    for circuit, other in multiwire_pairs(change.graph):
        yield from multiwire(change, circuit, other)
    for id in change.graph.order:
        yield from surge(change, id)
    for run in parts.runs.values():
        yield from feeder(change, run)


def _of_circuit(change: Change, circuit: Circuit) -> Iterator[Duty]:
    range_or_dryer = tuple(three_wire(change, circuit))
    yield from range_or_dryer
    yield from arc_fault(change, circuit)
    four_wires = any(duty.answer == "yes" and duty.needs == NEEDS for duty in range_or_dryer)
    for duty in ground_fault_receptacles(change, circuit, four_wires=four_wires):
        # What hangs on an unknown of the range or dryer hangs on it here too.
        also = [a for each in range_or_dryer if four_wires for a in each.assumptions]
        yield replace(duty, assumptions=(*duty.assumptions, *also)) if duty.answer == "yes" else duty
    yield from tamper_resistant(change, circuit)
    yield from weather_resistant(change, circuit)
    yield from without_a_ground(change, circuit)
    yield from aluminum(change, circuit)
    yield from knob_and_tube(change, circuit)
    yield from cloth_insulation(change, circuit)
    yield from coolest_class(change, circuit)
    yield from agricultural(change, circuit)
    yield from keep_on(change, circuit)
