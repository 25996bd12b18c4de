"""What the rules found: must be mended, must be asked, worth knowing; each leads to the place and to the field."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import plan_of, planned
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.places import address_of, place_words
from driploop.worksheet import Verdict


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
                (each, place_words(tables, each.where), address_of(tables, each.where))
                for each in findings
                if each.verdict is verdict
            ],
        )
        for verdict in Verdict
    ]
    return job_page(request, "findings.html", screen="findings", state=state, groups=groups, plan=plan)


ROUTES = (shows("/jobs/{job}/findings", show),)
