"""What outlets that are put in or changed must have today, and what must not go dark unseen."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.rules.awakened import awakened
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_CHANGED = ("tamper-resistant", "weather-resistant", "receptacles-without-a-ground")


@rule(
    "appliance-has-ground-fault-protection",
    title="A new outlet of a named appliance has ground-fault protection",
    why="A dishwasher or a sump pump leaks where people stand barefoot or on a wet floor. "
    "Its metal is live long before any breaker notices.",
    requirement="gfci-appliances",
)
def appliance_has_ground_fault_protection(r: Readings) -> Iterator[Found]:
    yield from awakened(r, "ground-fault-appliance")


@rule(
    "receptacles-of-today",
    title="Receptacles that are put in are of today's kind for their place",
    why="A child's hairpin, rain on a porch, a third hole with nothing behind it: each has its own receptacle today. "
    "Whoever changes one old receptacle changes it for that kind.",
    requirement="receptacle-replacement",
    verdict=Verdict.KNOW,
)
def receptacles_of_today(r: Readings) -> Iterator[Found]:
    for duty in r.duties:
        circuit = r.installation.circuits.get(duty.part)
        changed = circuit is not None and (circuit.new_outlets or circuit.receptacles_replaced)
        if duty.id in _CHANGED and duty.answer == "yes" and changed and asks(r):
            yield Found(duty.where, duty.reason, duty.do, section=duty.section)


@rule(
    "not-dark-unseen",
    title="Alarms, stock, freezers and emergency lights are not left dark unseen",
    why="An outage of one warm afternoon kills a shed of birds, and a tripped breaker a year's meat. "
    "What depends on a circuit is known before it is switched off.",
    requirement="alarms-kept-on",
    verdict=Verdict.KNOW,
)
def not_dark_unseen(r: Readings) -> Iterator[Found]:
    for duty in r.duties:
        if duty.id == "keep-on" and asks(r):
            yield Found(duty.where, duty.reason, duty.do)
