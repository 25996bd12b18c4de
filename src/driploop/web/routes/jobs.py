"""The jobs of the shop: list, search, a new one."""

from __future__ import annotations

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.store.tables import STAGES, WAITS_ON
from driploop.survey import JobFileError, starter
from driploop.web.here import desk, job_id
from driploop.web.pages import changes, go_to, page, shows
from driploop.web.past_rows import extent_of
from driploop.web.practice_jobs import practice_jobs, practice_text
from driploop.web.sent import NoJobFileError, sent_text
from driploop.web.visitors import person

_A_PAGE = 50
_MOST_TITLE = 200


def listing(request: Request) -> Response:
    """The jobs, last changed first."""
    asked = {name: request.query_params.get(name, "") for name in ("search", "stage", "waits_on")}
    start = int(raw) if (raw := request.query_params.get("start", "0")).isascii() and raw.isdigit() else 0
    start = min(start, 10**9)
    rows, total = stored_jobs.list_jobs(
        desk(request).store, search=asked["search"][:200], stage=asked["stage"] if asked["stage"] in STAGES else "",
        waits_on=asked["waits_on"] if asked["waits_on"] in WAITS_ON else "", start=start, count=_A_PAGE,
    )  # fmt: skip
    return page(
        request, "jobs/list.html", rows=rows, total=total, start=start, count=_A_PAGE, asked=asked, stages=STAGES,
        waits=WAITS_ON, filtered=any(asked.values()),
    )  # fmt: skip


def new(request: Request) -> Response:
    """The ways to begin a job."""
    return page(request, "jobs/new.html", practice=practice_jobs(), refused="", title="")


def add(request: Request, form: FormData) -> Response:
    """A new job: from the starter survey, from a job file, or to practise on."""
    title = str(form.get("title", "")).strip()[:_MOST_TITLE]
    try:
        text = _text(form, title)
        added = stored_jobs.add_job(desk(request).store, text, who=person(request).who)
    except (JobFileError, NoJobFileError) as error:
        return page(
            request, "jobs/new.html", status=422, practice=practice_jobs(), refused=str(error), title=title
        )  # fmt: skip
    return go_to(f"/jobs/{added.row.id}" if form.get("from") != "starter" else f"/jobs/{added.row.id}/walk")


def _text(form: FormData, title: str) -> str:
    if form.get("from") == "file":
        return sent_text(form.get("file"))
    if (name := str(form.get("practice", ""))) in practice_jobs():
        return practice_text(name)
    return starter(title=title or "Service change")


def move(request: Request, form: FormData) -> Response:
    """What a job has reached, or whom it waits on."""
    said = {name: str(form[name]) for name in ("stage", "waits_on") if form.get(name)}
    stored_jobs.move_on(desk(request).store, job_id(request), **said, who=person(request).who)
    return go_to(f"/jobs/{job_id(request)}")


def ask_delete(request: Request) -> Response:
    """Whether a job shall really go."""
    store = desk(request).store
    row = stored_jobs.read_stored(store, job_id(request)).row
    return page(request, "jobs/delete.html", job=row, extent=extent_of(store, row.id))


def delete(request: Request, form: FormData) -> Response:
    """Delete a job with all that hangs on it."""
    stored_jobs.delete_job(desk(request).store, job_id(request))
    desk(request).plans.forget(job_id(request))
    desk(request).works.forget_job(job_id(request))
    desk(request).kept.forget(job_id(request))
    return go_to("/jobs")


def front(request: Request) -> Response:
    """The front door leads to the jobs."""
    return go_to("/jobs")


ROUTES = (
    shows("/", front),
    shows("/jobs", listing),
    shows("/jobs/new", new),
    changes("/jobs/new", add),
    changes("/jobs/{job}/stage", move),
    shows("/jobs/{job}/delete", ask_delete),
    changes("/jobs/{job}/delete", delete),
)
