"""Everything that was read of a job as JSON: loads, circuits, duties, findings, panels, and every worksheet."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from driploop.documents.as_data import assumption_data, finding_data, headroom_data, loads_data, worksheet_data
from driploop.web.sheets import all_sheets

if TYPE_CHECKING:
    from driploop.planning import Plan


def data_of(plan: Plan, as_found: Plan) -> bytes:
    """A plan as JSON, as found and as proposed; the same plan gives the same bytes."""
    from driploop.documents.panel import panel_data

    data = {
        "title": plan.job.header.title,
        "edition": plan.edition.name,
        "headroom": headroom_data(plan.headroom),
        "found": _state(as_found),
        "proposed": _state(plan) if plan.proposed is not None else None,
        "panels": [panel_data(each) for each in plan.panels],
        "assumptions": [assumption_data(each) for each in plan.assumptions],
    }
    return json.dumps(data, ensure_ascii=False, indent=1).encode()


def _state(plan: Plan) -> dict[str, Any]:
    from driploop.documents.circuits import protection_data
    from driploop.documents.duties import duty_data
    from driploop.documents.old_disconnects import old_disconnect_data

    found, proposed = plan.protections
    findings = plan.found_findings if plan.proposed is None else plan.proposed_findings
    return {
        "loads": loads_data(plan.final.loads),
        "circuits": [protection_data(each) for each in (proposed if proposed is not None else found).values()],
        "duties": [duty_data(each) for each in plan.final.duties],
        "old_disconnects": [old_disconnect_data(each) for each in plan.final.old_disconnects],
        "findings": [finding_data(each) for each in findings],
        "worksheets": {id: worksheet_data(sheet) for id, sheet in all_sheets(plan).items()},
    }
