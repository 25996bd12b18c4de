"""The cover: what job this is, what is proposed in a few lines, the figures that decide, and room to sign."""

from __future__ import annotations

from typing import Any

from driploop.documents.headroom import headroom_words
from driploop.documents.schedules import Cite, equipment_title, lines_of
from driploop.documents.tables import known, stated
from driploop.documents.text import NOTHING, amperes, sentence
from driploop.planning import Plan
from driploop.rules import Readings
from driploop.worksheet import Finding, Verdict


def cover_data(plan: Plan, cite: Cite, *, headroom_sheet: str) -> dict[str, Any]:
    """The cover as JSON-ready data.

    Args:
        plan: the plan.
        cite: the register's, for the installation that stands in the end.
        headroom_sheet: the number of the headroom's worksheet, "" for none.
    """
    header, town = plan.job.header, plan.job.town
    numbers = {plan.headroom.worksheet.id: headroom_sheet} if plan.headroom else {}
    return {
        "title": header.title,
        "facts": [
            [head, value or ""]
            for head, value in (
                ("Job number", header.number),
                ("Customer", header.customer),
                ("Place", header.address),
                ("Town", town.name),
                ("Edition in force", plan.edition.name + (" (assumed)" if town.edition is None else "")),
                ("Said by", ", ".join(w for w in (town.who_said_so, town.date_said) if w) or None),
                ("Permit date", town.permit_date),
                ("Utility", plan.job.found.utility.name),
                ("Prepared by", header.prepared_by),
                ("License", header.licence),
                ("Date", header.date),
                ("Photographs", header.photographs),
            )
        ],
        "edition": plan.edition.name,
        "overlays": [f"{o.name} ({o.who_said_so}, {o.date})" for o in plan.edition.overlays],
        "proposal": proposal_words(plan),
        "figures": [list(row) for row in key_figures(plan.final, cite)],
        "headroom": headroom_words(plan.headroom, numbers),
        "counts": [
            {"what": "As found", **_counts(plan.found_findings)},
            *([{"what": "As proposed", **_counts(plan.proposed_findings)}] if plan.proposed else []),
        ],
    }


def _counts(findings: tuple[Finding, ...]) -> dict[str, int]:
    return {name: sum(f.verdict is v for f in findings) for name, v in
            (("mend", Verdict.MEND), ("ask", Verdict.ASK), ("know", Verdict.KNOW))}  # fmt: skip


def proposal_words(plan: Plan) -> str:
    """The proposal in a few sentences."""
    proposal, proposed = plan.job.proposal, plan.proposed
    if proposal is None or proposed is None:
        if not plan.found.installation.equipment:
            return "Nothing is proposed yet. This packet reads the installation as found."
        return "Nothing is proposed yet. This packet reads the installation as found, and compares the ways to build."
    scope = f"Scope: {proposal.scope}." if proposal.scope not in (None, "full service") else ""
    kind = f"{sentence(proposal.kind)}." if proposal.kind else ""
    words = [scope, kind, _new_equipment(proposed), _new_runs(proposed), _bonded(proposed)]
    return " ".join(word for word in words if word)


def _new_equipment(readings: Readings) -> str:
    new = [e for id in readings.graph.order if (e := readings.installation.equipment[id]).is_new]
    words = [f"{e.title}, {stated(e.rating_a, 'A')}" if e.rating_a else e.title for e in new]
    return f"New equipment: {'; '.join(words)}." if words else ""


def _new_runs(readings: Readings) -> str:
    new = [run for run in readings.installation.runs.values() if run.is_new]
    if not new:
        return ""
    words = [f"{run.title} ({run.wires} wires)" if run.wires else run.title for run in new]
    return f"New runs: {'; '.join(words)}."


def _bonded(readings: Readings) -> str:
    places = [equipment_title(readings, b.equipment) for b in readings.grounding.bonds.values()
              if b.required == "bonded"]  # fmt: skip
    return f"Neutral and ground are joined at {' and at '.join(places)}, and nowhere past that." if places else ""


def key_figures(readings: Readings, cite: Cite) -> list[tuple[str, str, str]]:
    """The figures that decide, each with the line that gives it."""
    graph = readings.graph
    rows: list[tuple[str, str, str]] = []
    for id in graph.service_disconnects:
        node, equipment = readings.loads.nodes.get(id), readings.installation.equipment[id]
        if node is not None:
            load = f"{amperes(node.governing.current_a)}, {node.governing.title.lower()}"
            sheet = cite(node.governing.worksheet, "current", place=equipment.title)
            rows.append((f"Calculated load, {equipment.title}", load, sheet))
        rows.append((f"Rating, {equipment.title}", stated(equipment.main_a or equipment.rating_a, "A"), ""))
        run = graph.feeding_run(id)
        sizing = readings.conductors.runs.get(run.id) if run else None
        if run is not None and sizing is not None:
            sizes = f"{lines_of(sizing)}, neutral {known(sizing.neutral_size)}"
            rows.append((run.title, sizes, cite(sizing.worksheet, "line_size", "neutral_size", place=run.title)))
    return [row for row in rows if row[1] != NOTHING]
