"""Old switches and fuse boxes: what may not be thrown away, what may not be left hanging, what is spliced where."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.old_disconnects_results import Fault
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict


@rule(
    "required-disconnect-stays",
    title="A switch that a rule asks for is not thrown away with the old ones",
    why="The switch beside the pump is what its repairer trusts with a hand in it. "
    "Old and ugly is no reason; the next inspection asks for one in the same place.",
    requirement="motor-disconnect",
)
def required_disconnect_stays(r: Readings) -> Iterator[Found]:
    yield from _faults(r, "takes away a required disconnect")


@rule(
    "no-switch-left-hanging",
    title="An old switch that opens nothing comes down",
    why="In a fire somebody pulls the handle that hangs nearest. "
    "One that opens nothing costs the minute in which the right one would have helped.",
    requirement="unused-openings",
)
def no_switch_left_hanging(r: Readings) -> Iterator[Found]:
    yield from _faults(r, "left hanging")


@rule(
    "old-enclosure-has-room",
    title="An old enclosure that holds splices has room for them",
    why="Splices pressed under a cover work loose and cut into each other. "
    "The box then burns behind a wall that everybody takes for finished.",
    requirement="box-fill",
)
def old_enclosure_has_room(r: Readings) -> Iterator[Found]:
    yield from _faults(r, "no room")


@rule(
    "fuses-taken-out-leave-overload-protection",
    title="A switch loses its fuses only where the motor keeps overload protection",
    why="Old time-delay fuses were often all that saved a stalled motor. "
    "With a breaker ahead sized for its start, it cooks until its windings short.",
    requirement="motor-overload",
)
def fuses_taken_out_leave_overload_protection(r: Readings) -> Iterator[Found]:
    yield from _faults(r, "overload not known")


def _faults(r: Readings, fault: Fault) -> Iterator[Found]:
    for each in r.old_disconnects:
        if each.fault == fault and asks(r):
            verdict = None if each.must_mend else Verdict.ASK
            yield Found(each.where, each.wrong, each.do, verdict, section=each.section or None, readings=each.readings)
