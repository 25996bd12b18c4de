"""Who changed what in a job and when, each change to be taken back."""

from __future__ import annotations

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import Conflict, Edit, Saved, StoreError
from driploop.store import jobs as stored_jobs
from driploop.store.records import BESIDE, WHOLE
from driploop.survey import JobFileError
from driploop.survey.write import UpdateError
from driploop.web.here import desk, job_id, stored_job
from driploop.web.job_page import job_page
from driploop.web.pages import changes, go_to, shows
from driploop.web.past import from_to, what_words
from driploop.web.visitors import person

_NOTE = "@note."


def show(request: Request) -> Response:
    """The history of a job, last change first."""
    return _history(request)


def _history(request: Request, *, status: int = 200, refused: str = "") -> Response:
    past = stored_jobs.history(desk(request).store, job_id(request))
    undoable = {each.id for each in past if not each.undone and _can_be_undone(each.path, each.before)}
    return job_page(request, "people.html", screen="people", status=status, refused=refused, past=past,
                    undoable=undoable, what=what_words, from_to=from_to)  # fmt: skip


def _can_be_undone(path: str, before: object) -> bool:
    return (path != WHOLE or before is not None) and not path.startswith(f"{BESIDE}photograph")


def undo(request: Request, form: FormData) -> Response:
    """Take one change back. Where the same was changed again since, both are shown; ``revision`` says: all the same."""
    words = str(form.get("change", ""))
    if not (words.isascii() and words.isdigit() and len(words) < 16):
        raise HTTPException(404, "There is no such change.")
    store, id, who = desk(request).store, job_id(request), person(request).who
    try:
        with desk(request).editing[id]:
            saved = stored_jobs.undo(store, id, int(words), who=who)
            if saved.conflicts and str(form.get("revision", "")) == str(saved.job.row.revision):
                saved = _all_the_same(request, saved.conflicts[0], saved.job.row.revision)
    except JobFileError as error:
        told = " ".join(f"{fault.path}: {fault.read}." for fault in error.faults[:3])
        return _history(request, status=422, refused=f"Without this change the survey would be at fault. {told}")
    except (UpdateError, StoreError) as error:
        return _history(request, status=422, refused=str(error))
    request.state.stored = saved.job
    if saved.conflicts:
        return _ask(request, saved, int(words))
    return go_to(f"/jobs/{id}/people")


def _ask(request: Request, saved: Saved, change: int) -> Response:
    conflict = saved.conflicts[0]
    stands, back = from_to(conflict.path, conflict.theirs, conflict.yours)
    if conflict.path == WHOLE:
        stands, back = "the file as it is", "the file as it was before that change"
    return job_page(request, "people/ask_undo.html", screen="people", status=409, conflict=conflict, stands=stands,
                    back=back, what=what_words(conflict.path), change=change,
                    revision=saved.job.row.revision)  # fmt: skip


def _all_the_same(request: Request, conflict: Conflict, revision: int) -> Saved:
    """Put back what stood before a change although the same thing was changed again since."""
    store, id, who, path = desk(request).store, job_id(request), person(request).who, conflict.path
    if path == WHOLE:
        return stored_jobs.replace_text(store, id, str(conflict.yours), who=who, seen_revision=revision)
    if path.startswith(_NOTE):
        stored_jobs.note_on(store, id, path.removeprefix(_NOTE), str(conflict.yours or ""), who=who)
        return Saved(stored_job(request), (path,))
    if path.startswith(BESIDE):
        stored_jobs.move_on(store, id, **{path.removeprefix(BESIDE): str(conflict.yours)}, who=who)
        return Saved(stored_jobs.read_stored(store, id), (path,))
    return stored_jobs.change_job(store, id, [Edit(path, conflict.yours, conflict.theirs)], who=who)


ROUTES = (shows("/jobs/{job}/people", show), changes("/jobs/{job}/history/undo", undo))
