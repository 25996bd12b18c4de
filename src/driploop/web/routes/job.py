"""One job: found, proposed, built side by side, the difference, and the readings of the one that is selected."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.store.tables import STAGES, WAITS_ON
from driploop.web.figures import figures_of
from driploop.web.here import job_id, planned
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.smalls import smalls


def show(request: Request) -> Response:
    """The job's own page. ``?state=found`` or ``proposed`` selects what the readings are of."""
    from driploop.documents.changes import change_tables

    found = planned(request)
    at = f"/jobs/{job_id(request)}"
    state = "proposed" if found.plan is not None and found.plan.proposed is not None else "found"
    if request.query_params.get("state") == "found":
        state = "found"
    return job_page(
        request, "job.html", screen="", plan=found.plan, trouble=found.trouble, state=state, header=found.job.header,
        smalls=smalls(found.plan, at=at) if found.plan is not None else (), stages=STAGES, waits=WAITS_ON,
        figures=figures_of(found.plan, state) if found.plan is not None else (),
        work=change_tables(found.plan) if found.plan is not None else (),
    )  # fmt: skip


ROUTES = (shows("/jobs/{job}", show),)
