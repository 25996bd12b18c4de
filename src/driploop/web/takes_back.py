"""One saving of several things taken back as one, as a pasted table or a way that was taken."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request

from driploop.store import Edit, Saved
from driploop.store import jobs as stored_jobs
from driploop.store.edits import apart
from driploop.web.here import desk, job_id, must_be_crew
from driploop.web.visitors import person

#: So many changes back a saving is looked for.
_FAR = 2000
_TOUCHED = "Something of it was changed again since. Take the later change back first, under People."


def take_back_saving(request: Request, revision: int) -> Saved:
    """Take every change of one revision back together, all of them or none.

    Raises:
        HTTPException: 404, the history has no such revision of several changes; 409, something was changed since.
        JobFileError: without them the file would have a fault.
    """
    must_be_crew(request)
    store, job = desk(request).store, job_id(request)
    with desk(request).editing[job]:
        past = stored_jobs.history(store, job, count=_FAR)
        mine = [each for each in past if each.revision == revision and each.path and not each.path.startswith("@")]
        if not mine:
            raise HTTPException(404, "There is no such change; the history of the job lists those there are.")
        edits = [Edit(each.path, each.before, each.after) for each in mine]  # the history's order is last first
        free, _, _ = apart(stored_jobs.read_stored(store, job).text, edits)
        if len(free) < len(edits):
            raise HTTPException(409, _TOUCHED)
        saved = stored_jobs.change_job(store, job, edits, who=person(request).who)
    request.state.stored = saved.job
    return saved
