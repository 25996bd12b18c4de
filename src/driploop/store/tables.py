"""The tables of the database, the same for SQLite and PostgreSQL."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    CheckConstraint,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

#: What a job has reached, in the order of the work.
STAGES = ("surveyed", "quoted", "permit", "dated", "cut over", "passed", "closed")
#: Whom a job waits on.
WAITS_ON = ("nobody", "shop", "customer", "town", "utility", "inspector")
#: Roles, most trusted first.
ROLES = ("owner", "crew", "view")

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)


class Utc(TypeDecorator[datetime]):
    """A moment in UTC. SQLite loses time zones, so they are put back here."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """A moment on its way in: it must know its zone."""
        if value is not None and value.tzinfo is None:
            raise ValueError("a moment needs its time zone")
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """A moment on its way out: in UTC."""
        if value is None:
            return None
        moment: datetime = value if value.tzinfo is not None else value.replace(tzinfo=UTC)
        return moment.astimezone(UTC)


class Id(TypeDecorator[str]):
    """An id, or another short word. As every text: no NUL, which PostgreSQL refuses, no half of a character pair."""

    impl = String
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """Text on its way in, or in a question."""
        if value is None:
            return None
        return value.replace("\0", "").encode("utf-8", "replace").decode("utf-8")


class Words(Id):
    """Text of any length."""

    impl = Text
    cache_ok = True


def _words(column: str, allowed: tuple[str, ...]) -> CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in allowed)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


people = Table(
    "people",
    metadata,
    Column("id", Id(16), primary_key=True),
    Column("name", Words, nullable=False),
    Column("sign_in", Words, nullable=False, unique=True),
    Column("role", Id(8), nullable=False),
    Column("password", Words),
    Column("active", Integer, nullable=False, server_default="1"),
    Column("created_at", Utc, nullable=False),
    _words("role", ROLES),
)

sessions = Table(
    "sessions",
    metadata,
    Column("digest", Id(64), primary_key=True),
    Column("person", ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("form_key", Id(64), nullable=False),
    Column("until", Utc, nullable=False),
)

invitations = Table(
    "invitations",
    metadata,
    Column("digest", Id(64), primary_key=True),
    Column("role", Id(8), nullable=False),
    Column("by", ForeignKey("people.id", ondelete="SET NULL")),
    Column("until", Utc, nullable=False),
    _words("role", ROLES),
)

attempts = Table(
    "attempts",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("what", Words, nullable=False),
    Column("at", Utc, nullable=False),
    Index("ix_attempts_what_at", "what", "at"),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", Id(16), primary_key=True),
    Column("title", Words, nullable=False),
    Column("looked_up", Words, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("stage", Id(12), nullable=False),
    Column("waits_on", Id(12), nullable=False),
    Column("created_at", Utc, nullable=False),
    Column("changed_at", Utc, nullable=False, index=True),
    _words("stage", STAGES),
    _words("waits_on", WAITS_ON),
    Index("ix_jobs_stage_changed_at", "stage", "changed_at"),
)

#: The job files, apart from the list so that a search reads little.
texts = Table(
    "texts",
    metadata,
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("text", Words, nullable=False),
)

changes = Table(
    "changes",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("at", Utc, nullable=False),
    Column("person", Id(16)),
    Column("who", Words, nullable=False),
    Column("path", Words, nullable=False),
    Column("before", Words),
    Column("after", Words),
    Column("undoes", Integer),
    Column("whole", Words),
    Index("ix_changes_job_id", "job", "id"),
)

looked_at = Table(
    "looked_at",
    metadata,
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("person", Id(16), primary_key=True),
    Column("text", Words, nullable=False),
)

notes = Table(
    "notes",
    metadata,
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("about", Id(120), primary_key=True),
    Column("words", Words, nullable=False),
    Column("who", Words, nullable=False),
    Column("at", Utc, nullable=False),
)

photographs = Table(
    "photographs",
    metadata,
    Column("id", Id(16), primary_key=True),
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("item", Words, nullable=False),
    Column("caption", Words, nullable=False, server_default=""),
    Column("digest", Id(64), nullable=False),
    Column("kind", Id(12), nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("who", Words, nullable=False),
    Column("at", Utc, nullable=False),
    UniqueConstraint("job", "item", "digest", name="uq_photographs_once"),
)

#: Photographs whose files are being written or deleted: what a crash leaves behind is found by these.
leftovers = Table(
    "leftovers",
    metadata,
    Column("photograph", Id(16), primary_key=True),
    Column("job", Id(16), nullable=False),
    Column("at", Utc, nullable=False),
)
