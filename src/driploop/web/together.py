"""Several edits that stand or fall together, as a pasted table or a way that is taken; taken back together as well."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.exceptions import HTTPException
from starlette.requests import Request

from driploop.store import Edit, Saved
from driploop.store import jobs as stored_jobs
from driploop.store.edits import apart, tables_of_text
from driploop.web.here import desk, job_id
from driploop.web.visitors import person

#: So many changes back a saving is looked for.
_FAR = 2000


def save_together(request: Request, edits: Sequence[Edit], *, taken: str) -> Saved:
    """Write edits of the job that the address names in one saving, all of them or none.

    Args:
        request: who asks about which job.
        edits: what to write, each with what was seen.
        taken: what to say where somebody changed one of the places in between.

    Raises:
        HTTPException: 409, one of the places was changed since it was seen.
        JobFileError: an edit would bring a fault; nothing was written.
        UpdateError: a path that is no field of a job file.
    """
    with desk(request).editing[job_id(request)]:
        saved = _written(request, edits, taken)
    request.state.stored = saved.job
    return saved


def take_back_saving(request: Request, revision: int) -> Saved:
    """Take every change of one revision back together, all of them or none.

    Raises:
        HTTPException: 404, the history has no such revision; 409, something was changed since.
        JobFileError: without them the file would have a fault.
    """
    with desk(request).editing[job_id(request)]:
        past = stored_jobs.history(desk(request).store, job_id(request), count=_FAR)
        mine = [each for each in past if each.revision == revision and each.path and not each.path.startswith("@")]
        if not mine:
            raise HTTPException(404, "There is no such change; the history of the job lists those there are.")
        edits = [Edit(each.path, each.before, each.after) for each in mine]  # the history's order is last first
        again = "Something of it was changed again since. Take the later change back first, under People."
        saved = _written(request, edits, again)
    request.state.stored = saved.job
    return saved


def _written(request: Request, edits: Sequence[Edit], taken: str) -> Saved:
    store, job = desk(request).store, job_id(request)
    if apart(tables_of_text(stored_jobs.read_stored(store, job).text), edits).taken:
        raise HTTPException(409, taken)
    return stored_jobs.change_job(store, job, edits, who=person(request).who)
