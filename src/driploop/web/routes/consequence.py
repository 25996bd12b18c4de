"""What moved since the person last looked: old value, new value, section, until they say that they have looked."""

from __future__ import annotations

from itertools import groupby

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.web.here import desk, job_id, stored_job
from driploop.web.job_page import job_page
from driploop.web.moved import moved
from driploop.web.pages import changes, go_to, shows
from driploop.web.visitors import person


def show(request: Request) -> Response:
    """Every answer that moved, topic by topic."""
    found = moved(request)
    topics = [(topic, list(each)) for topic, each in groupby(found.changes, key=lambda change: change.topic)]
    return job_page(request, "consequence.html", screen="consequence", topics=topics, trouble=found.trouble,
                    revision=stored_job(request).row.revision)  # fmt: skip


def looked(request: Request, form: FormData) -> Response:
    """The person has looked at the page; what moves from now on is marked anew."""
    if str(form.get("revision", "")) == str(stored_job(request).row.revision):
        stored_jobs.look_at(desk(request).store, job_id(request), stored_job(request).text, who=person(request).who)
    return go_to(f"/jobs/{job_id(request)}/consequence")


ROUTES = (shows("/jobs/{job}/consequence", show), changes("/jobs/{job}/looked", looked))
