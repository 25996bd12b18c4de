"""People and their sign-in: roles, passwords, invitations by link, sessions, and how often one may try."""

from __future__ import annotations

import hashlib
import math
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, delete, func, insert, select, text, update
from sqlalchemy.exc import IntegrityError

from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.passwords import hashed, matches, nobodys, outdated
from driploop.store.records import new_id, now
from driploop.store.results import Person
from driploop.store.tables import ROLES, attempts, invitations, people, sessions

SESSION = timedelta(days=30)
INVITATION = timedelta(days=7)
LONGEST_NAME = 120
#: So many failed tries within this time for one name, and from one place, which may be a whole shop; then one waits.
TRIES, TRIES_OF_PLACE, TRIES_WITHIN = 8, 40, timedelta(minutes=15)


@dataclass(frozen=True, slots=True)
class Session:
    """A signed-in browser. ``form_key`` must come back with everything that changes something."""

    person: Person
    form_key: str


@dataclass(frozen=True, slots=True)
class Invitation:
    """An invitation that nobody has used yet. ``id`` is no secret: it opens nothing."""

    id: str
    role: str
    by: str | None
    until: datetime


def add_person(store: Store, *, name: str, sign_in: str, password: str, role: str) -> Person:
    """Let somebody in. The first person is an owner: nobody else could let others in.

    Raises:
        StoreError: a name is missing or taken, the password is too short, the role is none of ``ROLES``.
    """
    person, row = _new_person(name=name, sign_in=sign_in, password=password, role=role)
    with _told_when_taken(person.sign_in), store.writing() as connection:
        _hold_people(connection)
        if role != "owner" and not _owners(connection):
            raise StoreError("The first person is the owner. Make the owner's account first.")
        connection.execute(insert(people).values(row))
    return person


def everybody(store: Store) -> tuple[Person, ...]:
    """All people, by name."""
    with store.reading() as connection:
        rows = connection.execute(select(people).order_by(func.lower(people.c.name), people.c.id)).all()
    return tuple(_person(row) for row in rows)


def change_person(store: Store, id: str, *, role: str | None = None, active: bool | None = None) -> Person:
    """Change what somebody may do. The last owner stays one; who stops being owner takes back open invitations.

    Raises:
        NotThereError: there is no such person.
        StoreError: nobody would be owner any more.
    """
    if role is not None:
        _known_role(role)
    with store.writing() as connection:
        _hold_people(connection)
        mine = _row_of(connection, id)
        after = {
            "role": mine.role if role is None else role,
            "active": mine.active if active is None else int(active),
        }
        if after != {"role": "owner", "active": 1}:
            _leave_an_owner(connection, id)
            connection.execute(delete(invitations).where(invitations.c.by == id))
        connection.execute(update(people).where(people.c.id == id).values(after))
        if not after["active"]:
            connection.execute(delete(sessions).where(sessions.c.person == id))
        return _person(_row_of(connection, id))


def remove_person(store: Store, id: str) -> None:
    """Delete somebody's account, sessions and open invitations. The history goes on naming them.

    Raises:
        NotThereError: there is no such person.
        StoreError: nobody would be owner any more.
    """
    with store.writing() as connection:
        _hold_people(connection)
        _row_of(connection, id)
        _leave_an_owner(connection, id)
        connection.execute(delete(invitations).where(invitations.c.by == id))
        connection.execute(delete(people).where(people.c.id == id))


def set_password(store: Store, id: str, password: str) -> None:
    """Give somebody a new password and sign them out everywhere."""
    kept = hashed(password)
    with store.writing() as connection:
        if connection.execute(update(people).where(people.c.id == id).values(password=kept)).rowcount == 0:
            raise NotThereError("There is no such person.")
        connection.execute(delete(sessions).where(sessions.c.person == id))


def invite(store: Store, *, role: str, by: str | None) -> str:
    """A word for a link with which one person can make themselves an account, once."""
    _known_role(role)
    word = secrets.token_urlsafe(24)
    with store.writing() as connection:
        connection.execute(delete(invitations).where(invitations.c.until < now()))
        connection.execute(insert(invitations).values(digest=_digest(word), role=role, by=by, until=now() + INVITATION))
    return word


def invited_role(store: Store, word: str) -> str:
    """The role that an invitation gives. Raises NotThereError for one that is used up, too old or none."""
    with store.reading() as connection:
        return _invited_role(connection, word)


def open_invitations(store: Store) -> tuple[Invitation, ...]:
    """The invitations that can still be used, the last first."""
    asked = select(invitations).where(invitations.c.until > now()).order_by(invitations.c.until.desc())
    with store.reading() as connection:
        return tuple(Invitation(row.digest, row.role, row.by, row.until) for row in connection.execute(asked))


def withdraw(store: Store, id: str) -> None:
    """Take an open invitation back, by its id. Raises NotThereError."""
    with store.writing() as connection:
        if connection.execute(delete(invitations).where(invitations.c.digest == id)).rowcount == 0:
            raise NotThereError("This invitation is used up or was taken back already.")


def accept(store: Store, word: str, *, name: str, sign_in: str, password: str) -> Person:
    """Make an account by an invitation, which is then used up.

    Raises:
        NotThereError: the invitation is used up, too old or none.
        StoreError: as ``add_person``; the invitation can still be used.
    """
    role = invited_role(store, word)
    person, row = _new_person(name=name, sign_in=sign_in, password=password, role=role)
    mine = (invitations.c.digest == _digest(word)) & (invitations.c.until > now())
    with _told_when_taken(person.sign_in), store.writing() as connection:
        _hold_people(connection)
        if connection.execute(delete(invitations).where(mine)).rowcount == 0:  # somebody else was quicker
            raise NotThereError("This invitation is used up. Ask for another.")
        connection.execute(insert(people).values(row))
    return person


def sign_in(store: Store, *, name: str, password: str, place: str) -> tuple[Person, str] | None:
    """Check a password. Returns the person and a new session's word, None where name or password is wrong.

    Args:
        name: what the person signs in with.
        password: as typed.
        place: where the try comes from, as a network address.

    Raises:
        StoreError: too many failed tries; it says how long to wait.
    """
    name = name.strip().lower()
    tries = _count_try(store, {_digest(f"name {name}"): TRIES, _digest(f"place {place}"): TRIES_OF_PLACE})
    with store.reading() as connection:
        row = connection.execute(select(people).where(people.c.sign_in == name)).one_or_none()
    # The same work for a name that is not there, so that the time taken tells nothing.
    right = matches(row.password if row is not None and row.active else nobodys(), password)
    if row is None or not row.active or not right:
        return None
    with store.writing() as connection:
        connection.execute(
            delete(attempts).where(attempts.c.id.in_(tries) | (attempts.c.what == _digest(f"name {name}")))
        )
        still = connection.execute(select(people).where(people.c.id == row.id)).one_or_none()
        if still is None or not still.active or still.password != row.password:
            return None  # let go, or given another password, while this one was checked
        if outdated(row.password):
            connection.execute(update(people).where(people.c.id == row.id).values(password=hashed(password)))
        return _person(still), _new_session(connection, row.id)


def session_of(store: Store, word: str) -> Session | None:
    """The session of a browser's word; None where it has ended or never was."""
    asked = (
        select(people, sessions.c.form_key)
        .join(sessions, sessions.c.person == people.c.id)
        .where(sessions.c.digest == _digest(word), sessions.c.until > now(), people.c.active == 1)
    )
    with store.reading() as connection:
        row = connection.execute(asked).one_or_none()
    return None if row is None else Session(_person(row), row.form_key)


def new_session(store: Store, person: str) -> str:
    """A session for somebody who has just proved who they are. Returns the browser's word. Raises NotThereError."""
    with store.writing() as connection:
        if not _row_of(connection, person).active:
            raise NotThereError("There is no such person.")
        return _new_session(connection, person)


def sign_out(store: Store, word: str) -> None:
    """End a session."""
    with store.writing() as connection:
        connection.execute(delete(sessions).where(sessions.c.digest == _digest(word)))


def _new_session(connection: Connection, person: str) -> str:
    word = secrets.token_urlsafe(32)
    connection.execute(delete(sessions).where(sessions.c.until < now()))
    connection.execute(
        insert(sessions).values(
            digest=_digest(word), person=person, form_key=secrets.token_urlsafe(24), until=now() + SESSION
        )
    )
    return word


def _count_try(store: Store, most: dict[str, int]) -> list[int]:
    """Enter one try under each key before it is made, so that many at once are counted too. Returns their ids."""
    with store.writing() as connection:
        if not store.is_sqlite:  # SQLite lets in one writer at a time as it is
            connection.execute(text("LOCK TABLE attempts IN EXCLUSIVE MODE"))
        moment = now()
        connection.execute(delete(attempts).where(attempts.c.at < moment - TRIES_WITHIN))
        for key, count in most.items():
            asked = select(attempts.c.at).where(attempts.c.what == key).order_by(attempts.c.at.desc())
            made = connection.execute(asked.limit(count)).scalars().all()
            if len(made) >= count:
                minutes = math.ceil((made[-1] + TRIES_WITHIN - moment).total_seconds() / 60)
                raise StoreError(f"Too many tries. Wait {max(1, minutes)} min, then try again.")
        added = insert(attempts).returning(attempts.c.id)
        return [connection.execute(added, {"what": key, "at": moment}).scalar_one() for key in most]


def _new_person(*, name: str, sign_in: str, password: str, role: str) -> tuple[Person, dict[str, Any]]:
    name, sign_in = name.strip(), sign_in.strip().lower()
    if not name or not sign_in:
        raise StoreError("Give a name, and what to sign in with.")
    if max(len(name), len(sign_in)) > LONGEST_NAME or not (name + sign_in).isprintable():
        raise StoreError(f"A name has at most {LONGEST_NAME} signs, all of them visible.")
    _known_role(role)
    if password.strip().lower() in (name.lower(), sign_in):
        raise StoreError("The password is the name. Choose one that nobody can guess.")
    kept = hashed(password)
    person = Person(new_id(), name, sign_in, role, True)
    fields = {"id": person.id, "name": name, "sign_in": sign_in, "role": role}
    return person, {**fields, "password": kept, "active": 1, "created_at": now()}


@contextmanager
def _told_when_taken(sign_in: str) -> Iterator[None]:
    try:
        yield
    except IntegrityError:
        raise StoreError(f"{sign_in!r} is taken already. Choose another to sign in with.") from None


def _known_role(role: str) -> None:
    if role not in ROLES:
        raise StoreError(f"{role!r} is no role. There are: {', '.join(ROLES)}.")


def _hold_people(connection: Connection) -> None:
    """Keep others from changing people meanwhile: two owners must not let each other go at once."""
    if connection.dialect.name != "sqlite":
        connection.execute(text("LOCK TABLE people IN SHARE ROW EXCLUSIVE MODE"))


def _row_of(connection: Connection, id: str) -> Row[Any]:
    row = connection.execute(select(people).where(people.c.id == id)).one_or_none()
    if row is None:
        raise NotThereError("There is no such person.")
    return row


def _owners(connection: Connection) -> set[str]:
    return set(connection.execute(select(people.c.id).where(people.c.role == "owner", people.c.active == 1)).scalars())


def _leave_an_owner(connection: Connection, id: str) -> None:
    if _owners(connection) <= {id}:
        raise StoreError("Somebody must stay owner. Make another person owner first.")


def _invited_role(connection: Connection, word: str) -> str:
    asked = select(invitations.c.role).where(invitations.c.digest == _digest(word), invitations.c.until > now())
    role = connection.execute(asked).scalar_one_or_none()
    if role is None:
        raise NotThereError("This invitation is used up or too old. Ask for another.")
    return str(role)


def _digest(word: str) -> str:
    # The words are long and random, so a plain digest is enough to keep a stolen database from opening doors.
    return hashlib.sha256(word.encode()).hexdigest()


def _person(row: Row[Any]) -> Person:
    return Person(row.id, row.name, row.sign_in, row.role, bool(row.active))
