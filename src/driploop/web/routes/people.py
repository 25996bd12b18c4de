"""Who changed what in a job and when, each change to be taken back."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.web.here import desk, job_id
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.words import value_words


def show(request: Request) -> Response:
    """The history of a job, last change first."""
    past = stored_jobs.history(desk(request).store, job_id(request))
    return job_page(request, "people.html", screen="people", past=past, said=value_words)


ROUTES = (shows("/jobs/{job}/people", show),)
