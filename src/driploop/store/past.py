"""The history of a job: what was changed, when and by whom, and how one change is taken back."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, select, update

from driploop.store.beside import NOTE, put_note, words_about
from driploop.store.edits import of_today, same, tables_of_text, value_at, written
from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.records import BESIDE, WHOLE, Change, conflict, loaded, now, remember, stored, write
from driploop.store.results import Edit, PastChange, Saved, StoredJob, Who
from driploop.store.tables import changes, jobs
from driploop.survey import JobFileError, UpdateError

_COLUMNS = ("stage", "waits_on")


def history(store: Store, id: str, *, count: int = 200) -> tuple[PastChange, ...]:
    """The changes of a job, last first. Raises NotThereError."""
    with store.reading() as connection:
        stored(connection, id)
        asked = select(changes).where(changes.c.job == id).order_by(changes.c.id.desc())
        rows = connection.execute(asked.limit(count)).all()
        undone = set(connection.execute(select(changes.c.undoes).where(changes.c.job == id)).scalars())
    return tuple(
        PastChange(r.id, r.revision, r.at, r.who, r.path, loaded(r.before), loaded(r.after), r.undoes, r.id in undone)
        for r in rows
    )


def undo(store: Store, id: str, change: int, *, who: Who) -> Saved:
    """Take one change of the history back; where the same thing was changed again since, it is asked about.

    Raises:
        NotThereError: there is no such job or change.
        JobFileError: without the change the file would have a fault.
        StoreError: a change that cannot be taken back, as the beginning of the job.
    """
    with store.writing() as connection:
        before = stored(connection, id, hold=True)
        row = connection.execute(select(changes).where(changes.c.job == id, changes.c.id == change)).one_or_none()
        if row is None:
            raise NotThereError("This change is not in the history of the job.")
        old, new = loaded(row.before), loaded(row.after)
        stands = _standing(connection, before, row.path, row.before)
        if not same(stands, new):
            return Saved(before, (), (conflict(connection, id, Edit(row.path, old, new), stands),))
        back = Change(row.path, new, old, undoes=change)
        if row.path.startswith(BESIDE):
            after = _beside(connection, before, back, who)
        else:
            after = write(connection, before, _text_back(before, row, old), who, [back])
    return Saved(after, (row.path,))


def _standing(connection: Connection, job: StoredJob, path: str, before: str | None) -> Any:
    if path == WHOLE:
        if before is None:
            raise StoreError("This is the beginning of the job. To take it back, delete the job.")
        return job.text
    if path.startswith(NOTE):
        return words_about(connection, job.row.id, path.removeprefix(NOTE))
    if path.removeprefix(BESIDE) in _COLUMNS:
        return getattr(job.row, path.removeprefix(BESIDE))
    if path.startswith(BESIDE):
        raise StoreError("A photograph cannot be brought back, or taken away, from the history. Use its page.")
    return value_at(tables_of_text(of_today(job.text)), path)


def _beside(connection: Connection, job: StoredJob, back: Change, who: Who) -> StoredJob:
    moment, id = now(), job.row.id
    if back.path.startswith(NOTE):
        put_note(connection, id, back.path.removeprefix(NOTE), back.after or "", who=who)
    else:
        values = {back.path.removeprefix(BESIDE): back.after, "changed_at": moment}
        connection.execute(update(jobs).where(jobs.c.id == id).values(**values))
    remember(connection, id, job.row.revision, moment, who, [back])
    return stored(connection, id)


def _text_back(job: StoredJob, row: Row[Any], old: Any) -> str:
    if row.path == WHOLE:
        return str(old)
    text = of_today(job.text)
    if row.whole is not None and _only_lost(row.whole, row.path, text):
        return str(row.whole)  # nothing else was changed since: the part comes back with its comments, in its place
    return written(text, [Edit(row.path, old)])


def _only_lost(whole: str, path: str, text: str) -> bool:
    try:
        return written(whole, [Edit(path, None)]) == text
    except (JobFileError, UpdateError):
        return False
