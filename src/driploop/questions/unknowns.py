"""Which unknowns are worth trying: what the plan assumed, and what its findings ask of each part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from driploop.installation.kinds import RACEWAYS
from driploop.planning import Plan
from driploop.questions.answers import subject_of, subjects
from driploop.questions.paths import ONCE, Place, part_at, place_of
from driploop.questions.reach import names_reached
from driploop.rules import Rule, catalogue
from driploop.worksheet import Finding, Verdict

#: What is asked of the way of a circuit's wire.
_WAYS = frozenset({"hot_place", "current_carrying", "ambient_c"})


def unknowns_of(plan: Plan) -> tuple[Place, ...]:
    """Every unknown that an assumption or a question of this plan hangs on, each once, in the order of the plan."""
    final = plan.final.installation
    paths = ["town.edition", *(assumption.where for assumption in plan.assumptions)]
    rules = {rule.id: rule for rule in catalogue()}
    findings = plan.proposed_findings if plan.proposed else plan.found_findings
    for finding in findings:
        if finding.verdict is Verdict.ASK:
            paths += _asked_by(finding, rules[finding.rule], plan)
        paths += _of_the_place(rules[finding.rule])
    places = (place_of(where, plan.job, final) for where in dict.fromkeys(paths))
    single = dict.fromkeys(place for place in places if place is not None and _is_asked(place, plan))
    return tuple(_looked_at_together(single, plan))


def _looked_at_together(places: Iterable[Place], plan: Plan) -> Iterator[Place]:
    """The ways of a panel's wires are one question: whoever goes into the attic for one sees them all."""
    together: dict[object, list[Place]] = {}
    for place in places:
        key: object = place
        if (place.table, place.home) == ("circuits", "found") and place.field in _WAYS:
            circuit = part_of(place, plan)
            key = (place.field, circuit.from_, circuit.cable in RACEWAYS)
        together.setdefault(key, []).append(place)
    for first, *others in together.values():
        yield replace(first, also=tuple(other.id for other in others))


def _is_asked(place: Place, plan: Plan) -> bool:
    subject = subject_of(place.table, place.field)
    return subject is not None and subject.is_asked_of(part_of(place, plan))


def part_of(place: Place, plan: Plan) -> Any:
    """The part an answer belongs to as it will stand, else as the job file has it."""
    table = "loads" if place.home == "wished" else place.table
    standing = getattr(plan.final.installation, table).get(place.id) if place.home != "single" else None
    return standing or part_at(place, plan.job)


def _asked_by(finding: Finding, rule: Rule, plan: Plan) -> Iterator[str]:
    """The fields a rule may have missed at one place; at an enclosure, those of the circuits that start there too."""
    reads = names_reached(rule.check)
    yield finding.where
    table, id = f"{finding.where}..".split(".")[:2]
    yield from _fields(table, id, reads)
    if table == "equipment":
        for circuit in plan.final.graph.circuits_at.get(id, ()):
            yield from _fields("circuits", circuit, reads)


def _of_the_place(rule: Rule) -> Iterator[str]:
    """What a rule may have missed of the supply and the soil: its finding may rest on the safe side of either."""
    reads = names_reached(rule.check)
    for key in subjects():
        table, _, field = key.partition(".")
        if table in ONCE and field in reads:
            yield key


def _fields(table: str, id: str, reads: frozenset[str]) -> Iterator[str]:
    for key in subjects():
        owner, _, field = key.partition(".")
        if owner == table and field in reads:
            yield f"{table}.{id}.{field}"
