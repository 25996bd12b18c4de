"""Load management: the conditions under which a set point stands as the load, and what a system may hold back."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Load, LoadManagement
from driploop.loads.load_management import CHARGER, CHARGERS, LEAVE, conditions, section_of
from driploop.loads.results import Held
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict, plain

#: What nobody notices to be off until harm is done (common practice).
_VITAL = frozenset({"ventilation fan", "milking equipment", "refrigeration", "freezer", "refrigerator", "well pump"})


def _systems(r: Readings) -> Iterator[tuple[LoadManagement, Held]]:
    for id, system in r.installation.load_management.items():
        yield system, r.loads.held[id]


@rule(
    "load-management-conditions",
    title="A system that holds the load is listed, fails safe, is locked and is marked",
    why="The service then rests on the system: one that fails open, or that anyone can set higher, lets the old "
    "conductors burn.",
    requirement="load-management",
)
def load_management_conditions(r: Readings) -> Iterator[Found]:
    for system, held in _systems(r):
        for each in conditions(system):
            where, section = f"load_management.{system.id}.{each.field}", section_of(each, held, edition=r.edition)
            if each.met is False:
                yield Found(where, each.unmet, each.mend, section=section)
            elif each.met is None and asks(r):
                yield Found(where, each.unknown, each.mend, Verdict.ASK, section=section)


@rule(
    "load-management-set-point",
    title="A set point holds all that it is counted for",
    why="What the system cannot hold back flows whatever it is set to. A set point below that is a number on a label, "
    "and the conductors carry the rest.",
    requirement="load-management",
)
def load_management_set_point(r: Readings) -> Iterator[Found]:
    for system, held in _systems(r):
        where = f"load_management.{system.id}"
        if system.limits != CHARGERS and held.equipment is None and asks(r):
            mend = "Name the service disconnect, or the equipment at the end of the feeder."
            yield Found(f"{where}.holds", "Which service or feeder the system holds is not known.", mend, Verdict.ASK)
        if system.set_point_a is None and asks(r):
            mend = "Read it on the system's own display or papers, or choose it."
            yield Found(f"{where}.set_point_a", "Its set point is not known.", mend, Verdict.ASK)
        if system.loads is None and system.circuits is None and asks(r):
            mend = "Name the circuits or loads whose contactor or charger it commands."
            yield Found(f"{where}.loads", "What it can hold back is not known.", mend, Verdict.ASK)
        elif not held.loads and (system.loads is not None or system.circuits is not None):
            yield Found(
                where, "Nothing that is there can be held back by it.", "Name what it commands, or take it out."
            )
        if held.unmanaged_a is not None and held.set_point_a is not None and held.unmanaged_a > held.set_point_a:
            wrong = (
                f"With all of it held back {held.unmanaged_a:.0f} A stays, "
                f"above the set point of {plain(held.set_point_a)} A."
            )
            yield Found(where, wrong, "Let it hold back more, or set it higher where the rating allows.")


@rule(
    "load-counted-at-set-point",
    title="A load counted at its set point is told, and where the edition allows it",
    why="Who adds a circuit later must know that the service is full but for the system's leave. Where the edition "
    "gives no such leave, the whole load counts, system or not.",
    requirement="load-management",
    verdict=Verdict.KNOW,
)
def load_counted_at_set_point(r: Readings) -> Iterator[Found]:
    for system, held in _systems(r):
        where, leave = f"load_management.{system.id}", LEAVE.get(system.limits or "")
        if leave is None:
            if asks(r):
                mend = "Say whether it limits a whole service or feeder, or the vehicle chargers alone."
                yield Found(f"{where}.limits", "What the system limits is not known.", mend, Verdict.ASK)
        elif not r.edition.has(leave):
            wrong = f"{r.edition.name} has no rule known here by which its set point may stand as the calculated load."
            yield Found(where, wrong, "The whole load counts. Ask the authority before it is counted otherwise.")
        elif held.permitted == "yes":
            wrong = f"{_names(r, held)}: counted with the rest at the set point of {plain(held.set_point_a or 0.0)} A."
            yield Found(where, wrong, "Add nothing here without reading the load again.", section=held.section)


@rule(
    "charger-management-holds-chargers",
    title="A system for vehicle charging counts for vehicle chargers alone",
    why="The leave for charging rests on chargers that take less when they are told to. A dryer or a heater takes all "
    "or nothing, and follows other rules.",
    requirement="evse-load-management",
)
def charger_management_holds_chargers(r: Readings) -> Iterator[Found]:
    for system, held in _systems(r):
        others = [load for load in _loads(r, held) if load.kind != CHARGER]
        if system.limits == CHARGERS and others:
            wrong = f"It is to hold vehicle chargers, and holds back {', '.join(load.title for load in others)}."
            mend = "Name chargers alone, or let it hold the whole service or feeder where the edition knows that."
            yield Found(f"load_management.{system.id}.loads", wrong, mend)


@rule(
    "held-back-without-harm",
    title="What a system switches off may be off without harm",
    why="A fan that clears the air over animals or gas, or a pump they drink from, is missed only when it is too late. "
    "The system cannot tell it from a heater.",
    requirement="load-management-disconnection",
    verdict=Verdict.ASK,
)
def held_back_without_harm(r: Readings) -> Iterator[Found]:
    for system, held in _systems(r):
        vital = [load for load in _loads(r, held) if load.kind in _VITAL]
        if vital and asks(r):
            wrong = f"It can switch off {', '.join(load.title for load in vital)}."
            mend = "Ask what happens when each is off for hours; what protects life or carries off gas is left out."
            yield Found(f"load_management.{system.id}.loads", wrong, mend)


def _loads(r: Readings, held: Held) -> list[Load]:
    return [r.installation.loads[id] for id in held.loads]


def _names(r: Readings, held: Held) -> str:
    return ", ".join(load.title for load in _loads(r, held))
