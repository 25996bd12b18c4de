"""Results as JSON-ready data, the same for every command."""

from __future__ import annotations

from typing import Any

from driploop.loads import Headroom
from driploop.loads.results import LoadReading, NodeLoad
from driploop.worksheet import Assumption, Finding, Worksheet


def worksheet_data(sheet: Worksheet) -> dict[str, Any]:
    """A worksheet with its lines; each answer keeps number, unit, section and how well it is known."""
    return {
        "id": sheet.id,
        "title": sheet.title,
        "lines": [
            {
                "key": line.key,
                "what": line.what,
                "working": line.working,
                "value": line.result.value,
                "unit": line.result.unit,
                "section": line.result.section,
                "confirmed": line.result.confirmed,
            }
            for line in sheet.lines
        ],
    }


def finding_data(finding: Finding) -> dict[str, str | list[str]]:
    """A finding, its verdict in words."""
    return {
        "rule": finding.rule,
        "verdict": finding.verdict.value,
        "where": finding.where,
        "wrong": finding.wrong,
        "mend": finding.mend,
        "section": finding.section,
        "why": finding.why,
        "readings": list(finding.readings),
    }


def assumption_data(assumption: Assumption) -> dict[str, str]:
    """An assumption, with the path in the job file."""
    return {
        "where": assumption.where,
        "assumed": assumption.assumed,
        "why_safe": assumption.why_safe,
        "would_change": assumption.would_change,
    }


def loads_data(reading: LoadReading, *, at: str | None = None) -> dict[str, Any]:
    """Every enclosure's load by every method, and each building's by itself; with ``at``, those of that id alone."""
    return {
        "enclosures": {id: node_data(node) for id, node in reading.nodes.items() if at in (None, id)},
        "buildings": {id: node_data(node) for id, node in reading.buildings.items() if at in (None, id)},
    }


def node_data(node: NodeLoad) -> dict[str, Any]:
    """One enclosure's load."""
    return {
        "voltage_v": node.voltage_v,
        "governing": node.governing.method,
        "load_va": node.governing.load_va,
        "current_a": node.governing.current_a,
        "conductor_current_a": node.conductor_current_a,
        "neutral_va": node.neutral.load_va,
        "neutral_a": node.neutral.current_a,
        "methods": [
            {
                "method": r.method,
                "title": r.title,
                "section": r.section,
                "permitted": r.permitted,
                "why": r.why,
                "load_va": r.load_va,
                "current_a": r.current_a,
                "worksheet": worksheet_data(r.worksheet),
            }
            for r in node.results
        ],
        "neutral_worksheet": worksheet_data(node.neutral.worksheet),
    }


def headroom_data(headroom: Headroom | None) -> dict[str, Any] | None:
    """What is left of the service as found."""
    if headroom is None:
        return None
    return {
        "equipment": headroom.equipment,
        "rating_a": headroom.rating_a,
        "load_a": headroom.load_a,
        "margin_a": headroom.margin_a,
        "enough": headroom.enough,
        "method": headroom.method,
        "used_up_by": headroom.used_up_by,
        "steps": [
            {"wish": s.wish, "title": s.title, "load_a": s.load_a, "margin_a": s.margin_a, "fits": s.fits}
            for s in headroom.steps
        ],
        "worksheet": worksheet_data(headroom.worksheet),
    }
