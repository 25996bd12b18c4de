"""Findings on paper: as proposed by rule, with what mends them; as found as a short list, with what becomes of each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from driploop.documents.places import part_path, place_words
from driploop.documents.tables import Cell, TableData, table
from driploop.documents.text import sentence
from driploop.installation import Installation
from driploop.planning import Plan
from driploop.rules import catalogue
from driploop.worksheet import Finding, Verdict


def grouped(findings: Sequence[Finding], *installations: Installation | None) -> list[dict[str, Any]]:
    """Findings by verdict and then by rule: title and why once, then the places.

    Args:
        findings: gravest first.
        installations: where the names of the places stand.
    """
    titles = {rule.id: rule.title for rule in catalogue()}
    return [
        {"verdict": verdict.value, "count": len(chosen), "rules": [
            _rule_data(titles.get(id, id.replace("-", " ")), group, installations) for id, group in _by_rule(chosen)
        ]}
        for verdict in Verdict
        if (chosen := [f for f in findings if f.verdict is verdict])
    ]  # fmt: skip


def _by_rule(findings: Iterable[Finding]) -> list[tuple[str, list[Finding]]]:
    groups: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        groups[finding.rule].append(finding)
    return list(groups.items())


def _rule_data(title: str, findings: list[Finding], installations: Sequence[Installation | None]) -> dict[str, Any]:
    same: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in findings:
        same[finding.wrong, _with_readings(finding.mend, finding)].append(finding)
    return {
        "id": findings[0].rule,
        "title": sentence(title).rstrip("."),
        "why": findings[0].why,
        "section": findings[0].section,
        "items": [
            {"places": _places(group, installations), "wrong": wrong, "mend": mend}
            for (wrong, mend), group in same.items()
        ],
    }


def _with_readings(words: str, finding: Finding) -> str:
    """Words of a finding, and where offices read the section differently, each reading as a sentence of its own."""
    return " ".join((words, *(f"Read so: {reading.rstrip('.')}." for reading in finding.readings)))


def _places(findings: Iterable[Finding], installations: Sequence[Installation | None]) -> list[dict[str, str]]:
    return [{"name": place_words(f.where, *installations), "path": f.where} for f in findings]


def found_tables(plan: Plan) -> tuple[TableData, ...]:
    """What is wrong as found, a table a verdict, with what the proposal does about it."""
    return tuple(
        _found_table(plan, verdict, chosen)
        for verdict in Verdict
        if (chosen := [f for f in plan.found_findings if f.verdict is verdict])
    )


def _found_table(plan: Plan, verdict: Verdict, findings: list[Finding]) -> TableData:
    same: dict[tuple[str, str, str], list[Finding]] = defaultdict(list)
    for finding in findings:
        same[_with_readings(finding.wrong, finding), finding.section, outcome(plan, finding)].append(finding)

    def row(item: tuple[tuple[str, str, str], list[Finding]]) -> tuple[Cell, ...]:
        (wrong, section, becomes), group = item
        names = dict.fromkeys(place_words(f.where, plan.found.installation) for f in group)
        return "; ".join(names), wrong, section, becomes

    return table(
        f"{sentence(verdict.value)} ({len(findings)})",
        ["Place", "What is wrong" if verdict is not Verdict.ASK else "What is open", "Section", "With the proposal"],
        same.items(),
        row,
    )


def outcome(plan: Plan, finding: Finding) -> str:
    """What becomes of a finding of the installation as found: "gone", "mended" or "stays", in words.

    A finding stays while the same rule still speaks at the same place, or where the circuits of a place that is taken
    out now are. It counts as mended only where that can be told apart from another finding that stays.
    """
    if plan.proposed is None:
        return "nothing proposed yet"
    after = [f for f in plan.proposed_findings if f.rule == finding.rule]
    here = [f for f in after if part_path(f.where) == part_path(finding.where)]
    if any(f.wrong == finding.wrong for f in here):
        return "stays"
    before = {f.wrong for f in plan.found_findings if f.rule == finding.rule and f.where == finding.where}
    if left := [f for f in here if f.wrong not in before]:
        return "stays" if any(f.verdict is not Verdict.ASK for f in left) else "stays, as a question"
    removed = {c.path for c in plan.difference if c.what == "removed"}
    if part_path(finding.where) not in removed:
        return "mended by the proposal"
    moved = {f"equipment.{id}" for id in _now_at(plan, finding.where)}
    if heirs := [f for f in after if part_path(f.where) in moved]:
        return f"place is taken out; see {place_words(part_path(heirs[0].where), plan.proposed.installation)}"
    return "gone with the proposal"


def _now_at(plan: Plan, where: str) -> set[str]:
    """The enclosures that take the circuits of one that is taken out."""
    assert plan.proposed is not None
    kind, _, rest = where.partition(".")
    if kind != "equipment":
        return set()
    old = rest.partition(".")[0]
    now = plan.proposed.installation.circuits
    moved = (now[c.id].from_ for c in plan.found.installation.circuits.values() if c.from_ == old and c.id in now)
    return {id for id in moved if id}
