"""Every panel that will stand: its face, which circuit lands where, and the directory."""

from __future__ import annotations

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import plan_of
from driploop.web.job_page import job_page
from driploop.web.pages import shows


def show(request: Request) -> Response:
    """The panels, in the order of supply."""
    from driploop.drawings import panel_faces, to_svg

    plan = plan_of(request)
    faces = [Markup(to_svg(drawing)) for drawing in panel_faces(plan.panels)]  # it escapes every word it writes
    return job_page(request, "panel.html", screen="panel", panels=plan.panels, faces=faces)


ROUTES = (shows("/jobs/{job}/panel", show),)
