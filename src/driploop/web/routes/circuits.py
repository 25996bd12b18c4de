"""Every circuit of what will stand: its wire, what may protect it, and the breaker to put in."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import plan_of
from driploop.web.job_page import job_page
from driploop.web.pages import shows


def show(request: Request) -> Response:
    """The circuits, panel by panel."""
    from driploop.documents.circuits import by_panel, title_of_panel

    plan = plan_of(request)
    found, proposed = plan.protections
    shown = proposed if proposed is not None else found
    groups = [
        (title_of_panel(plan.final.graph, panel), each) for panel, each in by_panel(plan.final.graph, shown).items()
    ]
    return job_page(request, "circuits.html", screen="circuits", groups=groups, plan=plan)


ROUTES = (shows("/jobs/{job}/circuits", show),)
