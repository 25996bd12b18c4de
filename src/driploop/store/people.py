"""People and their sign-in: roles, passwords, invitations by link, sessions, and how often one may try."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import Any

from sqlalchemy import Connection, Row, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from driploop.store.engine import Store
from driploop.store.errors import NotThereError, StoreError
from driploop.store.jobs import new_id, now
from driploop.store.results import Person
from driploop.store.tables import ROLES, attempts, invitations, people, sessions

SESSION = timedelta(days=30)
INVITATION = timedelta(days=7)
#: So many failed tries within this time, for one name or from one place; then one waits.
TRIES, TRIES_WITHIN = 8, timedelta(minutes=15)
LEAST_PASSWORD = 10


@dataclass(frozen=True, slots=True)
class Session:
    """A signed-in browser. ``form_key`` must come back with everything that changes something."""

    person: Person
    form_key: str


def add_person(store: Store, *, name: str, sign_in: str, password: str, role: str) -> Person:
    """Let somebody in.

    Raises:
        StoreError: a name is missing or taken, the password is too short, the role is none of ``ROLES``.
    """
    name, sign_in = name.strip(), sign_in.strip().lower()
    if not name or not sign_in:
        raise StoreError("Give a name, and what to sign in with.")
    if role not in ROLES:
        raise StoreError(f"{role!r} is no role. There are: {', '.join(ROLES)}.")
    hashed = _hashed(password)
    person = Person(new_id(), name, sign_in, role, True)
    try:
        with store.writing() as connection:
            connection.execute(
                insert(people).values(
                    id=person.id, name=name, sign_in=sign_in, role=role, password=hashed, active=1, created_at=now()
                )
            )
    except IntegrityError:
        raise StoreError(f"{sign_in!r} is taken already. Choose another to sign in with.") from None
    return person


def everybody(store: Store) -> tuple[Person, ...]:
    """All people, by name."""
    with store.reading() as connection:
        rows = connection.execute(select(people).order_by(func.lower(people.c.name), people.c.id)).all()
    return tuple(_person(row) for row in rows)


def change_person(store: Store, id: str, *, role: str | None = None, active: bool | None = None) -> Person:
    """Change what somebody may do. The last owner stays one.

    Raises:
        NotThereError: there is no such person.
        StoreError: nobody would be owner any more.
    """
    if role is not None and role not in ROLES:
        raise StoreError(f"{role!r} is no role. There are: {', '.join(ROLES)}.")
    with store.writing() as connection:
        rows = connection.execute(select(people).with_for_update()).all()
        mine = next((row for row in rows if row.id == id), None)
        if mine is None:
            raise NotThereError("There is no such person.")
        values: dict[str, Any] = {}
        if role is not None:
            values["role"] = role
        if active is not None:
            values["active"] = int(active)
        after = {row.id: (row.role, row.active) for row in rows}
        after[id] = (values.get("role", mine.role), values.get("active", mine.active))
        if ("owner", 1) not in after.values():
            raise StoreError("Somebody must stay owner. Make another person owner first.")
        if values:
            connection.execute(update(people).where(people.c.id == id).values(**values))
            if values.get("active") == 0:
                connection.execute(delete(sessions).where(sessions.c.person == id))
        return _person(connection.execute(select(people).where(people.c.id == id)).one())


def set_password(store: Store, id: str, password: str) -> None:
    """Give somebody a new password and sign them out everywhere."""
    hashed = _hashed(password)
    with store.writing() as connection:
        if connection.execute(update(people).where(people.c.id == id).values(password=hashed)).rowcount == 0:
            raise NotThereError("There is no such person.")
        connection.execute(delete(sessions).where(sessions.c.person == id))


def invite(store: Store, *, role: str, by: str | None) -> str:
    """A word for a link with which one person can make themselves an account, once."""
    if role not in ROLES:
        raise StoreError(f"{role!r} is no role. There are: {', '.join(ROLES)}.")
    word = secrets.token_urlsafe(24)
    with store.writing() as connection:
        connection.execute(delete(invitations).where(invitations.c.until < now()))
        connection.execute(insert(invitations).values(digest=_digest(word), role=role, by=by, until=now() + INVITATION))
    return word


def invited_role(store: Store, word: str) -> str:
    """The role that an invitation gives. Raises NotThereError for one that is used up, too old or none."""
    with store.reading() as connection:
        return _invited_role(connection, word)


def accept(store: Store, word: str, *, name: str, sign_in: str, password: str) -> Person:
    """Make an account by an invitation, which is then used up."""
    role = invited_role(store, word)
    person = add_person(store, name=name, sign_in=sign_in, password=password, role=role)
    with store.writing() as connection:
        used = connection.execute(delete(invitations).where(invitations.c.digest == _digest(word))).rowcount
        if not used:  # somebody else was quicker
            connection.execute(delete(people).where(people.c.id == person.id))
    if not used:
        raise NotThereError("This invitation is used up. Ask for another.")
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
    keys = (f"name:{name}", f"place:{place}")
    _refuse_too_many(store, keys)
    with store.reading() as connection:
        row = connection.execute(select(people).where(people.c.sign_in == name)).one_or_none()
    # The same work for a name that is not there, so that the time taken tells nothing.
    right = _matches(row.password if row is not None and row.active else _nobody(), password)
    if row is None or not row.active or not right:
        with store.writing() as connection:
            connection.execute(delete(attempts).where(attempts.c.at < now() - TRIES_WITHIN))
            connection.execute(insert(attempts), [{"what": key, "at": now()} for key in keys])
        return None
    with store.writing() as connection:
        connection.execute(delete(attempts).where(attempts.c.what == keys[0]))
        return _person(row), _new_session(connection, row.id)


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
    """A session for somebody who has just proved who they are. Returns the browser's word."""
    with store.writing() as connection:
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


def _refuse_too_many(store: Store, keys: tuple[str, ...]) -> None:
    asked = (
        select(func.count(), func.min(attempts.c.at))
        .where(attempts.c.what.in_(keys), attempts.c.at > now() - TRIES_WITHIN)
        .group_by(attempts.c.what)
    )
    with store.reading() as connection:
        rows = connection.execute(asked).all()
    first = [moment for count, moment in rows if count >= TRIES]
    if first:
        minutes = max(1, round((max(first) + TRIES_WITHIN - now()).total_seconds() / 60))
        raise StoreError(f"Too many tries. Wait {minutes} minutes, then try again.")


def _invited_role(connection: Connection, word: str) -> str:
    asked = select(invitations.c.role).where(invitations.c.digest == _digest(word), invitations.c.until > now())
    role = connection.execute(asked).scalar_one_or_none()
    if role is None:
        raise NotThereError("This invitation is used up or too old. Ask for another.")
    return str(role)


def _digest(word: str) -> str:
    # The words are long and random, so a plain digest is enough to keep a stolen database from opening doors.
    return hashlib.sha256(word.encode()).hexdigest()


def _hashed(password: str) -> str:
    if len(password) < LEAST_PASSWORD:
        raise StoreError(f"The password has {len(password)} signs; give it {LEAST_PASSWORD} or more.")
    from argon2 import PasswordHasher

    return PasswordHasher().hash(password)


def _matches(hashed: str | None, password: str) -> bool:
    from argon2 import PasswordHasher
    from argon2.exceptions import Argon2Error, InvalidHashError

    try:
        return PasswordHasher().verify(hashed or "", password)
    except (Argon2Error, InvalidHashError):
        return False


@cache
def _nobody() -> str:
    from argon2 import PasswordHasher

    return PasswordHasher().hash(secrets.token_urlsafe(12))


def _person(row: Row[Any]) -> Person:
    return Person(row.id, row.name, row.sign_in, row.role, bool(row.active))
