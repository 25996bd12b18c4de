"""One place of the installation: its form in the walk, what was worked out for it, what was found wrong there."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.documents.places import part_words
from driploop.web.here import plan_of, planned
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.places import address_of
from driploop.web.states import plan_shown
from driploop.worksheet import Finding

#: The tables whose parts have a page.
TABLES = ("buildings", "equipment", "runs", "circuits", "loads", "electrodes", "bonds")


def show(request: Request) -> Response:
    """The place that the address names, as found or as proposed."""
    from driploop.web.sheets import Reference, all_sheets

    table, id = request.path_params["table"], request.path_params["id"]
    plan, state = plan_shown(request)
    part = getattr(plan.final.installation, table).get(id) if table in TABLES else None
    if part is None:
        raise HTTPException(404, "There is no such place in this state of the job; it may be new, or gone.")
    sheets = [
        (sheet.title, sheet.lines[-1].result.text, Reference(sheet).address(state))
        for sheet in all_sheets(plan).values()
        if id in sheet.id.split("/") or f"building-{id}" in sheet.id.split("/")
    ]
    findings = plan.found_findings if state == "found" else plan.proposed_findings
    graph = plan.final.graph
    beside = [
        *(("runs", run.id, run.title) for run in plan.final.installation.runs.values() if id in (run.from_, run.to)),
        *(("circuits", each.id, each.title) for each in (graph.circuits_of(id) if table == "equipment" else ())),
        *(("equipment", end, plan.final.installation.equipment[end].title)
          for end in (getattr(part, "from_", None), getattr(part, "to", None))
          if end in plan.final.installation.equipment),
    ]  # fmt: skip
    return job_page(
        request, "readings/place.html", screen="readings", state=state, part=part, plan=plan_of(request),
        words=part_words(part, plan.final.installation), walk=address_of(planned(request).tables, f"{table}.{id}"),
        sheets=sheets, findings=[each for each in findings if _is_about(each, table, id)], beside=beside,
    )  # fmt: skip


def _is_about(finding: Finding, table: str, id: str) -> bool:
    steps = finding.where.split(".")
    return steps == [id] or steps[:2] == [table, id]


ROUTES = (shows("/jobs/{job}/places/{table}/{id}", show),)
