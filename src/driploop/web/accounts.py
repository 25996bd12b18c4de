"""Where somebody is signed in, to look at and to end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from sqlalchemy import delete, select

from driploop.store import Store
from driploop.store.people import SESSION
from driploop.store.records import now
from driploop.store.tables import sessions


@dataclass(frozen=True, slots=True)
class OpenSession:
    """A signed-in browser of somebody. ``id`` opens nothing."""

    id: str
    began: datetime
    until: datetime


def sessions_of(store: Store, person: str) -> tuple[OpenSession, ...]:
    """Where somebody is signed in, the latest first."""
    asked = select(sessions.c.digest, sessions.c.until).where(sessions.c.person == person, sessions.c.until > now())
    with store.reading() as connection:
        rows = connection.execute(asked.order_by(sessions.c.until.desc())).all()
    return tuple(OpenSession(row.digest, row.until - SESSION, row.until) for row in rows)


def session_id(word: str) -> str:
    """The id of the session that a browser's word opens, as ``sessions_of`` names it."""
    return sha256(word.encode("utf-8", "replace")).hexdigest()


def end_sessions(store: Store, person: str, *, only: str = "", but: str = "") -> int:
    """End one session of somebody, or all but one, or all. Returns how many ended."""
    gone = delete(sessions).where(sessions.c.person == person, sessions.c.digest != but)
    with store.writing() as connection:
        return connection.execute(gone.where(sessions.c.digest == only) if only else gone).rowcount
