"""The catalogue of rules: each one small function with an id in the trade's words.

A rule says *what* it looks for; the edition says in which section, and whether it has such a rule at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib import import_module

from driploop.editions import Edition
from driploop.rules.readings import Readings
from driploop.worksheet import Finding, Verdict

THEMES = (
    "what_is_what",
    "service_equipment",
    "fault_current",
    "location_and_space",
    "panels",
    "overhead",
    "underground",
    "overcurrent",
    "hot_ways",
    "branch_circuits",
    "motors",
    "old_disconnects",
    "bonding",
    "grounding_wires",
    "piping",
    "electrodes",
    "electrode_measures",
    "electrode_conductors",
    "separate_buildings",
    "farms",
    "stray_voltage",
    "replacement",
    "new_outlets",
    "loads_and_conductors",
    "load_basis",
    "load_management",
    "local",
)


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule saw at one place.

    ``verdict`` and ``requirement`` are given only where they differ from the rule's own: for an unknown fact, or where
    the same thing stands in another section, as for a feeder and a service. ``section`` is given where it stands in no
    edition but in a local rule. ``readings`` are the ways in which offices read the section, where they disagree.
    """

    where: str
    wrong: str
    mend: str
    verdict: Verdict | None = None
    requirement: str | None = None
    section: str | None = None
    readings: tuple[str, ...] = ()


Check = Callable[[Readings], Iterable[Found]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. ``requirement`` is the name under which each edition's data holds its section."""

    id: str
    title: str
    why: str
    requirement: str
    verdict: Verdict
    theme: str
    check: Check


_RULES: dict[str, Rule] = {}


def rule(
    id: str, *, title: str, why: str, requirement: str, verdict: Verdict = Verdict.MEND
) -> Callable[[Check], Check]:
    """Enter a function in the catalogue. Raises ValueError when the id is taken."""

    def enter(check: Check) -> Check:
        if id in _RULES:
            raise ValueError(f"two rules are called {id!r}")
        theme = check.__module__.rsplit(".", 1)[-1]
        _RULES[id] = Rule(id, title, why, requirement, verdict, theme, check)
        return check

    return enter


def catalogue() -> tuple[Rule, ...]:
    """Every rule, theme by theme."""
    for theme in THEMES:
        import_module(f"driploop.rules.{theme}")
    order = {theme: place for place, theme in enumerate(THEMES)}
    return tuple(sorted(_RULES.values(), key=lambda r: order[r.theme]))


def check_rules(readings: Readings) -> tuple[Finding, ...]:
    """Every finding of every rule that this edition has, gravest first, in the order of the catalogue."""
    found = [finding for each in catalogue() for finding in findings_of(each, readings)]
    gravity = {Verdict.MEND: 0, Verdict.ASK: 1, Verdict.KNOW: 2}
    return tuple(sorted(found, key=lambda f: gravity[f.verdict]))


def findings_of(each: Rule, readings: Readings) -> Iterator[Finding]:
    """The findings of one rule. An edition that has no such rule gives none; one whose words are not known gives
    what the rule saw as a question."""
    edition = readings.edition
    if not edition.has(each.requirement):
        return
    known = edition.known(each.requirement)
    for seen in each.check(readings):
        verdict = (seen.verdict or each.verdict) if known else Verdict.ASK
        mend = seen.mend if known else _with_note(seen.mend, edition.entry(each.requirement).note)
        section = edition.section(seen.requirement) if seen.requirement else section_of(each, edition)
        section = seen.section or section
        yield Finding(each.id, verdict, seen.where, seen.wrong, mend, section, each.why, seen.readings)


def _with_note(mend: str, note: str) -> str:
    """What to do, and what is not known here, each as a sentence."""
    note = note.rstrip(".")
    return f"{mend} {note[:1].upper()}{note[1:]}." if note else mend


def section_of(each: Rule, edition: Edition) -> str:
    """The rule's section as this edition numbers it; a dash where the edition has no such rule."""
    return edition.entry(each.requirement).section if edition.has(each.requirement) else "-"
