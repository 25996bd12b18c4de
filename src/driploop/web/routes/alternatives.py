"""The lawful ways to build the service, best first."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import plan_of
from driploop.web.job_page import job_page
from driploop.web.pages import shows


def show(request: Request) -> Response:
    """The ways side by side."""
    from driploop.alternatives import alternatives_of

    plan = plan_of(request)
    compared = alternatives_of(plan.job, edition=plan.edition)
    return job_page(request, "alternatives.html", screen="alternatives", compared=compared, plan=plan)


ROUTES = (shows("/jobs/{job}/alternatives", show),)
