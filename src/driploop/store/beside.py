"""What stands beside a job file: what each person last looked at, and notes."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select

from driploop.store.engine import Store
from driploop.store.errors import StoreError
from driploop.store.records import Change, now, remember, stored
from driploop.store.results import Who
from driploop.store.tables import looked_at, notes

#: How notes are called in the history.
NOTE = "@note."
LONGEST_ABOUT = 120


def last_looked_at(store: Store, id: str, *, who: Who) -> str | None:
    """The file as this person last looked at its consequence; None where they never did."""
    asked = select(looked_at.c.text).where(looked_at.c.job == id, looked_at.c.person == (who.id or ""))
    with store.reading() as connection:
        return connection.execute(asked).scalar_one_or_none()


def look_at(store: Store, id: str, text: str, *, who: Who) -> None:
    """This person has looked at the consequence of the file as given. Raises NotThereError."""
    with store.writing() as connection:
        stored(connection, id, hold=True)
        mine = (looked_at.c.job == id) & (looked_at.c.person == (who.id or ""))
        connection.execute(delete(looked_at).where(mine))
        connection.execute(insert(looked_at).values(job=id, person=who.id or "", text=text))


def note_on(store: Store, id: str, about: str, words: str, *, who: Who) -> None:
    """Keep a note on something of a job, as on an alternative; empty words take it away.

    Raises:
        NotThereError: there is no such job.
        StoreError: what it is about has too long a name.
    """
    if not about or len(about) > LONGEST_ABOUT:
        raise StoreError(f"A note is about something with a name of 1 to {LONGEST_ABOUT} signs.")
    words = words.strip()
    with store.writing() as connection:
        row = stored(connection, id, hold=True).row
        before = words_about(connection, id, about)
        if words != (before or ""):
            put_note(connection, id, about, words, who=who)
            remember(connection, id, row.revision, now(), who, [Change(f"{NOTE}{about}", before, words or None)])


def notes_of(store: Store, id: str) -> dict[str, str]:
    """The notes on a job by what they are about."""
    with store.reading() as connection:
        rows = connection.execute(select(notes.c.about, notes.c.words).where(notes.c.job == id)).all()
    return {row.about: row.words for row in rows}


def words_about(connection: Connection, id: str, about: str) -> str | None:
    """The note on one thing; None where there is none."""
    asked = select(notes.c.words).where(notes.c.job == id, notes.c.about == about)
    return connection.execute(asked).scalar_one_or_none()


def put_note(connection: Connection, id: str, about: str, words: str, *, who: Who) -> None:
    """Put words in the place of a note, without its history."""
    connection.execute(delete(notes).where(notes.c.job == id, notes.c.about == about))
    if words:
        connection.execute(insert(notes).values(job=id, about=about, words=words, who=who.name, at=now()))
