"""What moved since the person last looked: old value, new value, why, until they say that they have looked."""

from __future__ import annotations

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.web.here import desk, job_id, planned, stored_job
from driploop.web.job_page import job_page
from driploop.web.moved import consequence, together
from driploop.web.pages import changes, go_to, shows
from driploop.web.together import take_back_saving
from driploop.web.visitors import person

#: Where the worksheets of a topic stand among the readings.
_SHEETS = {"load": "load", "headroom": "headroom", "conductor": "conductors", "bond": "grounding",
           "electrode conductor": "grounding", "jumper": "grounding"}  # fmt: skip


def show(request: Request) -> Response:
    """What was answered, every answer that moved with why, topic by topic, and which findings came and went."""
    told = consequence(request)
    topics = [(topic, _SHEETS.get(topic, ""), each) for topic, each in together(told, planned(request).tables).items()]
    return job_page(request, "consequence.html", screen="consequence", told=told, topics=topics,
                    revision=stored_job(request).row.revision)  # fmt: skip


def looked(request: Request, form: FormData) -> Response:
    """The person has looked at the page; what moves from now on is marked anew."""
    if str(form.get("revision", "")) == str(stored_job(request).row.revision):
        stored_jobs.look_at(desk(request).store, job_id(request), stored_job(request).text, who=person(request).who)
    return go_to(f"/jobs/{job_id(request)}/consequence")


def take_back(request: Request, form: FormData) -> Response:
    """Take one saving of several things back as one."""
    words = str(form.get("revision", ""))
    take_back_saving(request, int(words) if words.isascii() and words.isdigit() and len(words) < 10 else 0)
    return go_to(f"/jobs/{job_id(request)}/consequence")


ROUTES = (
    shows("/jobs/{job}/consequence", show),
    changes("/jobs/{job}/looked", looked),
    changes("/jobs/{job}/take-back", take_back),
)
