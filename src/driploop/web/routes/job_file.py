"""The job file out and in: what another file would change is shown before it takes the place of this one."""

from __future__ import annotations

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.survey import JobFileError
from driploop.survey.syntax import parse_toml
from driploop.survey.write import UpdateError, migrated_text
from driploop.web.here import desk, job_id, planned, stored_job
from driploop.web.job_page import job_page
from driploop.web.moved import given_between
from driploop.web.pages import changes, go_to, shows
from driploop.web.sent import NoJobFileError, sent_text
from driploop.web.visitors import person

_CHANGED = "The job was changed while this page was open. Look at what differs now, then put the file in its place."


def show(request: Request) -> Response:
    """The file to take home, and the place to send one."""
    return _page(request)


def look(request: Request, form: FormData) -> Response:
    """What another file would change; put in place where that is asked for."""
    try:
        kept = form.get("text")
        text = migrated_text(kept, name="the file") if isinstance(kept, str) else sent_text(form.get("file"))
    except (NoJobFileError, JobFileError, UpdateError) as error:
        return _page(request, refused=str(error))
    if form.get("take") != "yes":
        return _page(request, text=text)
    seen = str(form.get("revision", ""))
    with desk(request).editing[job_id(request)]:
        saved = stored_jobs.replace_text(
            desk(request).store, job_id(request), text, who=person(request).who,
            seen_revision=int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 10 else 0,
        )  # fmt: skip
    request.state.stored = saved.job
    if saved.conflicts:
        return _page(request, text=text, refused=_CHANGED)
    return go_to(f"/jobs/{job_id(request)}/file?taken={saved.job.row.revision}")


def take_back(request: Request, form: FormData) -> Response:
    """Put back what stood before a file took its place."""
    words = str(form.get("revision", ""))
    past = stored_jobs.history(desk(request).store, job_id(request))
    change = next((each for each in past if str(each.revision) == words and not each.path), None)
    if change is None or change.before is None:
        raise HTTPException(404, "There is no such change; the history of the job lists those there are.")
    with desk(request).editing[job_id(request)]:
        saved = stored_jobs.undo(desk(request).store, job_id(request), change.id, who=person(request).who)
    if saved.conflicts:
        raise HTTPException(409, "The job was changed since. Take the later change back first, under People.")
    return go_to(f"/jobs/{job_id(request)}/file")


def _page(request: Request, *, text: str | None = None, refused: str = "") -> Response:
    taken = request.query_params.get("taken", "")
    row = stored_job(request).row
    given = list(given_between(planned(request).tables, parse_toml(text, name="the file"))) if text is not None else []
    return job_page(
        request, "job_file.html", screen="walk", status=422 if refused else 200, refused=refused, text=text,
        given=given, revision=row.revision, taken=row.revision if taken == str(row.revision) else None,
        same=text is not None and text == stored_job(request).text,
    )  # fmt: skip


ROUTES = (
    shows("/jobs/{job}/file", show),
    changes("/jobs/{job}/file", look),
    changes("/jobs/{job}/file/take-back", take_back),
)
