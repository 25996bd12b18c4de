"""What the rules found: must be mended, must be asked, worth knowing; each leads to the place and to the field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import plan_of, planned
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.places import address_of, place_words
from driploop.web.routes.places import TABLES
from driploop.worksheet import Verdict

if TYPE_CHECKING:
    from driploop.planning import Plan


def show(request: Request) -> Response:
    """The findings of what will stand, or of what was found with ``?state=found``."""
    plan = plan_of(request)
    state = "found" if plan.proposed is None or request.query_params.get("state") == "found" else "proposed"
    findings = plan.found_findings if state == "found" else plan.proposed_findings
    tables = planned(request).tables
    groups = [
        (
            verdict,
            [
                (
                    each,
                    _told(plan, tables, each.where),
                    address_of(tables, each.where),
                    _readings(plan, each.where, state),
                )
                for each in findings
                if each.verdict is verdict
            ],
        )
        for verdict in Verdict
    ]
    return job_page(request, "findings.html", screen="findings", state=state, groups=groups, plan=plan)


def _told(plan: Plan, tables: Mapping[str, Any], where: str) -> str:
    """The place in words; what the proposal adds is named by the plan."""
    table, _, id = _part(plan, where)
    return getattr(table[id], "title", "") if table is not None and where == id else place_words(tables, where)


def _readings(plan: Plan, where: str, state: str) -> str:
    """The address of the page of the place, below the job's; "" where it is no place of this installation."""
    table, name, id = _part(plan, where, state)
    return f"/places/{name}/{id}?state={state}" if table is not None else ""


def _part(plan: Plan, where: str, state: str = "proposed") -> tuple[Mapping[str, Any] | None, str, str]:
    """The table of an installation that holds what a path or an id names; None where none does."""
    installation = plan.found.installation if state == "found" else plan.final.installation
    steps = where.split(".")
    if len(steps) > 1 and steps[0] in TABLES:
        held = getattr(installation, steps[0])
        return (held, steps[0], steps[1]) if steps[1] in held else (None, "", "")
    for name in TABLES:
        if len(steps) == 1 and where in getattr(installation, name):
            return getattr(installation, name), name, where
    return None, "", ""


ROUTES = (shows("/jobs/{job}/findings", show),)
