"""Jobs in the database: list, search, read, change with history, undo, delete."""

from __future__ import annotations

import json
import secrets
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, select, update

from driploop.store.edits import apart, value_at, written
from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.results import Conflict, Edit, JobRow, PastChange, Saved, StoredJob, Who
from driploop.store.tables import STAGES, WAITS_ON, changes, jobs, looked_at, notes
from driploop.survey import read_job_text
from driploop.survey.syntax import parse_toml

_ROW = (jobs.c.id, jobs.c.title, jobs.c.stage, jobs.c.waits_on, jobs.c.revision, jobs.c.changed_at)
#: A path that stands for the job file as a whole in the history.
WHOLE = ""


def new_id() -> str:
    """An id that nobody can guess and that fits a link."""
    return secrets.token_hex(8)


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def add_job(store: Store, text: str, *, who: Who) -> StoredJob:
    """Keep a new job file.

    Raises:
        JobFileError: the text is no job file; nothing is kept.
    """
    read_job_text(text, name="the job")
    moment, id = now(), new_id()
    title, looked_up = _headings(text)
    with store.writing() as connection:
        connection.execute(
            insert(jobs).values(
                id=id, title=title, looked_up=looked_up, text=text, revision=1, stage=STAGES[0], waits_on=WAITS_ON[0],
                created_at=moment, changed_at=moment,
            )
        )  # fmt: skip
        _remember(connection, id, 1, moment, who, [(WHOLE, None, text, None)])
        connection.execute(insert(looked_at).values(job=id, person=who.id or "", text=text))
    return StoredJob(JobRow(id, title, STAGES[0], WAITS_ON[0], 1, moment), text)


def list_jobs(
    store: Store, *, search: str = "", stage: str = "", waits_on: str = "", start: int = 0, count: int = 50
) -> tuple[tuple[JobRow, ...], int]:
    """Jobs, last changed first, and how many there are in all that fit.

    Args:
        search: words that must all occur in title, number, customer, address or town.
        stage: one of ``STAGES``, "" for all.
        waits_on: one of ``WAITS_ON``, "" for all.
        start: so many are passed over.
        count: so many are handed out at most.
    """
    asked = _fitting(select(*_ROW), search, stage, waits_on)
    counted = _fitting(select(func.count()).select_from(jobs), search, stage, waits_on)
    with store.reading() as connection:
        rows = connection.execute(asked.order_by(jobs.c.changed_at.desc(), jobs.c.id).offset(start).limit(count)).all()
        total = connection.execute(counted).scalar_one()
    return tuple(_job_row(row) for row in rows), total


def read_stored(store: Store, id: str) -> StoredJob:
    """One job with its file. Raises NotThereError."""
    with store.reading() as connection:
        return _stored(connection, id)


def change_job(store: Store, id: str, edits: Sequence[Edit], *, who: Who) -> Saved:
    """Write what may be written of some edits; what somebody else changed in between comes back to be decided.

    Raises:
        NotThereError: there is no such job.
        JobFileError: an edit would bring a fault; nothing is written, nothing is lost.
        UpdateError: a path that is no field of a job file.
    """
    with store.writing() as connection:
        before = _stored(connection, id, hold=True)
        free, taken, stands = apart(before.text, edits)
        conflicts = tuple(_conflict(connection, id, edit, stands[edit.path]) for edit in taken)
        if not free:
            return Saved(before, (), conflicts)
        past = [(edit.path, stands[edit.path], edit.value, None) for edit in free]
        after = _write(connection, before, written(before.text, free), who, past)
    return Saved(after, tuple(edit.path for edit in free), conflicts)


def replace_text(store: Store, id: str, text: str, *, who: Who, seen_revision: int) -> Saved:
    """Put another whole file in a job's place, as an import does; refused where the job was changed since it was seen.

    Raises:
        NotThereError: there is no such job.
        JobFileError: the text is no job file.
    """
    read_job_text(text, name="the job")
    with store.writing() as connection:
        before = _stored(connection, id, hold=True)
        if before.row.revision != seen_revision:
            stranger = _conflict(connection, id, Edit(WHOLE, text), before.text)
            return Saved(before, (), (stranger,))
        after = _write(connection, before, text, who, [(WHOLE, before.text, text, None)])
    return Saved(after, (WHOLE,))


def undo(store: Store, id: str, change: int, *, who: Who) -> Saved:
    """Take one change of the history back; where the same thing was changed again since, it is asked about.

    Raises:
        NotThereError: there is no such job or change.
        JobFileError: without the change the file would have a fault.
    """
    with store.writing() as connection:
        before = _stored(connection, id, hold=True)
        row = connection.execute(select(changes).where(changes.c.job == id, changes.c.id == change)).one_or_none()
        if row is None or (row.path == WHOLE and row.before is None):
            raise NotThereError("This change is not in the history of the job, or is its beginning.")
        old, new = _loaded(row.before), _loaded(row.after)
        stands = before.text if row.path == WHOLE else value_at(parse_toml(before.text, name="the job"), row.path)
        if stands != new:
            return Saved(before, (), (_conflict(connection, id, Edit(row.path, old, new), stands),))
        text = str(old) if row.path == WHOLE else written(before.text, [Edit(row.path, old, new)])
        after = _write(connection, before, text, who, [(row.path, new, old, change)])
    return Saved(after, (row.path,))


def history(store: Store, id: str, *, count: int = 200) -> tuple[PastChange, ...]:
    """The changes of a job, last first."""
    with store.reading() as connection:
        _stored(connection, id)
        rows = connection.execute(
            select(changes).where(changes.c.job == id).order_by(changes.c.id.desc()).limit(count)
        ).all()
        undone = set(connection.execute(select(changes.c.undoes).where(changes.c.job == id)).scalars())
    return tuple(
        PastChange(r.id, r.revision, r.at, r.who, r.path, _loaded(r.before), _loaded(r.after), r.undoes, r.id in undone)
        for r in rows
    )


def move_on(store: Store, id: str, *, stage: str | None = None, waits_on: str | None = None, who: Who) -> JobRow:
    """Say what a job has reached, or whom it waits on.

    Raises:
        NotThereError: there is no such job.
        StoreError: the word is none of those allowed.
    """
    wanted = {"stage": (stage, STAGES), "waits_on": (waits_on, WAITS_ON)}
    for name, (word, allowed) in wanted.items():
        if word is not None and word not in allowed:
            raise StoreError(f"{name}: {word!r} is none of {', '.join(allowed)}.")
    values = {name: word for name, (word, _) in wanted.items() if word is not None}
    with store.writing() as connection:
        before = _stored(connection, id, hold=True).row
        if values:
            moment = now()
            connection.execute(update(jobs).where(jobs.c.id == id).values(**values, changed_at=moment))
            past = [(f"@{name}", getattr(before, name), word, None) for name, word in values.items()]
            _remember(connection, id, before.revision, moment, who, past)
        return _stored(connection, id).row


def delete_job(store: Store, id: str) -> None:
    """Delete a job with its history, notes and photographs. Raises NotThereError."""
    from driploop.store.photographs import drop_files, files_of

    with store.writing() as connection:
        _stored(connection, id, hold=True)
        digests = files_of(connection, id)
        connection.execute(delete(jobs).where(jobs.c.id == id))
    drop_files(store, digests)


def last_looked_at(store: Store, id: str, *, who: Who) -> str | None:
    """The file as this person last looked at its consequence; None where they never did."""
    asked = select(looked_at.c.text).where(looked_at.c.job == id, looked_at.c.person == (who.id or ""))
    with store.reading() as connection:
        return connection.execute(asked).scalar_one_or_none()


def look_at(store: Store, id: str, text: str, *, who: Who) -> None:
    """This person has looked at the consequence of the file as given."""
    with store.writing() as connection:
        _stored(connection, id, hold=True)
        mine = (looked_at.c.job == id) & (looked_at.c.person == (who.id or ""))
        connection.execute(delete(looked_at).where(mine))
        connection.execute(insert(looked_at).values(job=id, person=who.id or "", text=text))


def note_on(store: Store, id: str, about: str, words: str, *, who: Who) -> None:
    """Keep a note on something of a job, as on an alternative; empty words take it away. Raises NotThereError."""
    with store.writing() as connection:
        _stored(connection, id, hold=True)
        connection.execute(delete(notes).where(notes.c.job == id, notes.c.about == about))
        if words.strip():
            connection.execute(insert(notes).values(job=id, about=about, words=words.strip(), who=who.name, at=now()))


def notes_of(store: Store, id: str) -> dict[str, str]:
    """The notes on a job by what they are about."""
    with store.reading() as connection:
        rows = connection.execute(select(notes.c.about, notes.c.words).where(notes.c.job == id)).all()
    return {row.about: row.words for row in rows}


def _fitting(asked: Select[Any], search: str, stage: str, waits_on: str) -> Select[Any]:
    for word in search.lower().split():
        asked = asked.where(jobs.c.looked_up.contains(word, autoescape=True))
    if stage:
        asked = asked.where(jobs.c.stage == stage)
    if waits_on:
        asked = asked.where(jobs.c.waits_on == waits_on)
    return asked


def _stored(connection: Connection, id: str, *, hold: bool = False) -> StoredJob:
    asked = select(*_ROW, jobs.c.text).where(jobs.c.id == id)
    row = connection.execute(asked.with_for_update() if hold else asked).one_or_none()
    if row is None:
        raise NotThereError("There is no such job; it may have been deleted.")
    return StoredJob(_job_row(row), row.text)


def _write(
    connection: Connection, before: StoredJob, text: str, who: Who, past: Sequence[tuple[str, Any, Any, int | None]]
) -> StoredJob:
    title, looked_up = _headings(text)
    revision, moment, id = before.row.revision + 1, now(), before.row.id
    values = {"title": title, "looked_up": looked_up, "text": text, "revision": revision, "changed_at": moment}
    connection.execute(update(jobs).where(jobs.c.id == id).values(**values))
    _remember(connection, id, revision, moment, who, past)
    return StoredJob(JobRow(id, title, before.row.stage, before.row.waits_on, revision, moment), text)


def _remember(
    connection: Connection, id: str, revision: int, moment: datetime, who: Who,
    past: Sequence[tuple[str, Any, Any, int | None]],
) -> None:  # fmt: skip
    connection.execute(
        insert(changes),
        [
            {
                "job": id, "revision": revision, "at": moment, "person": who.id, "who": who.name, "path": path,
                "before": _dumped(before), "after": _dumped(after), "undoes": undoes,
            }
            for path, before, after, undoes in past
        ],
    )  # fmt: skip


def _conflict(connection: Connection, id: str, edit: Edit, stands: Any) -> Conflict:
    """Who changed the place last: the thing itself, what holds it, or something in it."""
    rows = connection.execute(
        select(changes.c.path, changes.c.who, changes.c.at).where(changes.c.job == id).order_by(changes.c.id.desc())
    )
    last = next((row for row in rows if _touches(row.path, edit.path)), None)
    return Conflict(edit.path, edit.value, stands, edit.seen, last.who if last else "", last.at if last else None)


def _touches(one: str, other: str) -> bool:
    if WHOLE in (one, other):
        return True
    return f"{one}.".startswith(f"{other}.") or f"{other}.".startswith(f"{one}.")


def _headings(text: str) -> tuple[str, str]:
    """Title and the words that a search looks through."""
    job = read_job_text(text, name="the job")
    header = job.header
    places = (header.title, header.number, header.customer, header.address, job.town.name)
    return header.title, " ".join(word for word in places if word).lower()


def _job_row(row: Any) -> JobRow:
    return JobRow(row.id, row.title, row.stage, row.waits_on, row.revision, row.changed_at)


def _dumped(value: Any) -> str | None:
    return None if value is None else json.dumps(value, ensure_ascii=False)


def _loaded(written: str | None) -> Any:
    return None if written is None else json.loads(written)
