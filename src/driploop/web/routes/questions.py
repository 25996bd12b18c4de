"""The open questions of a job: which unknowns decide something, what they cost, where they are answered."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import job_id
from driploop.web.job_page import job_page
from driploop.web.pages import is_piece, page, shows
from driploop.web.questions import open_questions

#: So long a whole page waits for the questions before it offers to look again. [s]
_PATIENCE_S = 4


def show(request: Request) -> Response:
    """All questions on a page of their own, or the few that decide most for the side of a walk's page."""
    if is_piece(request) and "about" in request.query_params:
        about = request.query_params.get("about", "")[:200]
        return page(
            request,
            "walk/questions.html",
            questions=open_questions(request),
            about=about,
            at=f"/jobs/{job_id(request)}",
        )
    return job_page(request, "questions.html", screen="walk", questions=open_questions(request, wait_s=_PATIENCE_S))


ROUTES = (shows("/jobs/{job}/questions", show),)
