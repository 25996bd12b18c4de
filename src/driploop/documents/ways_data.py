"""Ways to build the service as JSON-ready data."""

from __future__ import annotations

from typing import Any

from driploop.alternatives import Alternative, Comparison, Figures, Stage, Staging
from driploop.documents.as_data import assumption_data, finding_data, worksheet_data
from driploop.documents.ways import proposed_id
from driploop.rules import Readings


def comparison_data(comparison: Comparison, staging: Staging | None, proposed: Readings | None) -> dict[str, Any]:
    """All of a comparison, and the stages of a farm's work where there are any."""
    return {
        "order": list(comparison.order),
        "proposed": proposed_id(comparison, proposed),
        "offered": [way_data(each) for each in comparison.offered],
        "folded": [{"by": each.by, "reason": each.reason, **way_data(each.alternative)} for each in comparison.folded],
        "refused": [
            {"id": each.id, "title": each.title, "kind": each.kind, "reasons": list(each.reasons),
             "sections": list(each.sections)}
            for each in comparison.refused
        ],
        "steps": [{"before": s.before, "after": s.after, "words": list(s.words)} for s in comparison.steps],
        "shared": [finding_data(each) for each in comparison.shared],
        "assumptions": [assumption_data(each) for each in comparison.assumptions],
        "stages": [_stage(each) for each in staging.stages] if staging is not None else None,
        "no_stages": list(staging.refused) if staging is not None else None,
    }  # fmt: skip


def way_data(way: Alternative) -> dict[str, Any]:
    """One way with its whole consequence."""
    return {
        "id": way.id,
        "title": way.title,
        "kind": way.kind,
        "scope": way.scope,
        "standing": way.standing,
        "why": list(way.why),
        "why_not": list(way.why_not),
        "needs_answers": list(way.needs_answers),
        "consequences": list(way.consequences),
        "mendings": list(way.mendings),
        "figures": _figures(way.figures),
        "choices": [
            {"title": each.title, "taken": each.chosen, "sizes": dict(each.sizes), "raceways": dict(each.raceways),
             "conductor_ft": dict(each.conductor_ft), "why_not": list(each.why_not)}
            for each in way.choices
        ],
        "findings": [finding_data(each) for each in way.findings],
        "assumptions": [assumption_data(each) for each in way.assumptions],
    }  # fmt: skip


def _figures(figures: Figures) -> dict[str, Any]:
    return {
        "service": figures.service,
        "rating_a": figures.rating_a,
        "headroom_a": figures.headroom_a,
        "by_method": [
            {"method": room.method, "title": room.title, "permitted": room.permitted, "load_a": room.load_a,
             "headroom_a": room.headroom_a}
            for room in figures.by_method
        ],
        "with_wishes": [
            {"wish": step.wish, "title": step.title, "headroom_a": step.headroom_a, "fits": step.fits}
            for step in figures.wish_steps
        ],
        "circuits_touched": list(figures.circuits_touched),
        "circuits_extended": list(figures.circuits_extended),
        "three_wire_lost": list(figures.three_wire_lost),
        "conductor_ft": dict(figures.conductor_ft),
        "length_unknown": list(figures.length_unknown),
        "enclosures_new": figures.enclosures_new,
        "enclosures_total": figures.enclosures_total,
        "steps": list(figures.steps),
        "power_off_steps": list(figures.power_off_steps),
        "power_off_share": figures.power_off_share,
        "worksheet": worksheet_data(figures.worksheet),
    }  # fmt: skip


def _stage(stage: Stage) -> dict[str, Any]:
    return {
        "number": stage.number,
        "title": stage.title,
        "work": list(stage.work),
        "stays": list(stage.stays),
        "lawful": stage.lawful,
        "why_not": list(stage.why_not),
        "needs_answers": list(stage.needs_answers),
    }
