"""The cover: what job this is, what is proposed in a few lines, the figures that decide, and room to sign."""

from __future__ import annotations

from typing import Any

from driploop.documents.schedules import Numbers, amperes, equipment_title
from driploop.documents.tables import stated
from driploop.loads import Headroom
from driploop.planning import Plan
from driploop.worksheet import Finding, Verdict


def cover_data(plan: Plan, numbers: Numbers) -> dict[str, Any]:
    """The cover as JSON-ready data."""
    header, town = plan.job.header, plan.job.town
    return {
        "title": header.title,
        "facts": [
            [head, stated(value)]
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
                ("Licence", header.licence),
                ("Date", header.date),
            )
        ],
        "edition": plan.edition.name,
        "overlays": [f"{o.name} ({o.who_said_so}, {o.date})" for o in plan.edition.overlays],
        "proposal": proposal_words(plan),
        "figures": [list(row) for row in key_figures(plan)],
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
    """The proposal in a sentence or two."""
    proposal = plan.job.proposal
    if proposal is None or plan.proposed is None:
        return "Nothing is proposed yet. This packet reads the installation as found."
    if proposal.scope not in (None, "full service"):
        return f"Scope: {proposal.scope}."
    mains = [id for id in plan.proposed.graph.order if plan.proposed.installation.equipment[id].is_new]
    ratings = [plan.proposed.installation.equipment[id] for id in mains if id.startswith("new-main")]
    devices = "; ".join(f"{e.title}, {stated(e.rating_a, 'A')}" for e in ratings)
    return f"{(proposal.kind or '').capitalize()}. {devices}".strip() + ("." if devices else "")


def key_figures(plan: Plan) -> list[tuple[str, str]]:
    """The figures that decide, each as it stands in the schedules."""
    readings = plan.final
    graph = readings.graph
    rows: list[tuple[str, str]] = []
    for id in graph.service_disconnects:
        node, equipment = readings.loads.nodes.get(id), readings.installation.equipment[id]
        if node is not None:
            rows.append(
                (
                    f"Calculated load at {equipment.title}",
                    f"{amperes(node.governing.current_a)} ({node.governing.title})",
                )
            )
        rows.append((f"Rating of {equipment.title}", stated(equipment.main_a or equipment.rating_a, "A")))
        run = graph.feeding_run(id)
        if run is not None and run.id in readings.conductors.runs:
            sizing = readings.conductors.runs[run.id]
            rows.append(
                (run.title, f"{stated(sizing.line_size)} {sizing.metal or ''}, neutral {stated(sizing.neutral_size)}")
            )
    bonded = [equipment_title(readings, b.equipment) for b in readings.grounding.bonds.values()
              if b.required == "bonded" and graph.roles.get(b.equipment) == "service disconnect"]  # fmt: skip
    if bonded:
        rows.append(("Neutral bonded, electrode conductor lands", ", ".join(bonded)))
    return rows


def headroom_words(headroom: Headroom | None, numbers: Numbers) -> str:
    """Whether the service as found would do, and which wish would use it up."""
    if headroom is None:
        return ""
    sheet = numbers.get(headroom.worksheet.id, "")
    base = f"Service as found: {headroom.rating_a:g} A, calculated load {amperes(headroom.load_a)} ({headroom.method})"
    if not headroom.enough:
        words = f"{base}. It is overloaded by {amperes(-headroom.margin_a)} before any wish."
    elif headroom.used_up_by:
        used = next(step for step in headroom.steps if step.wish == headroom.used_up_by)
        words = (
            f"{base}, {amperes(headroom.margin_a)} left: enough as it is. "
            f"{used.title} would use it up ({amperes(used.load_a)})."
        )
    else:
        words = f"{base}, {amperes(headroom.margin_a)} left: no upgrade is needed for the load, wishes included."
    return f"{words} Worksheet {sheet}." if sheet else words
