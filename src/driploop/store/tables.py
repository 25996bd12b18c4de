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


def _words(column: str, allowed: tuple[str, ...]) -> CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in allowed)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


people = Table(
    "people",
    metadata,
    Column("id", String(16), primary_key=True),
    Column("name", Text, nullable=False),
    Column("sign_in", Text, nullable=False, unique=True),
    Column("role", String(8), nullable=False),
    Column("password", Text),
    Column("active", Integer, nullable=False, server_default="1"),
    Column("created_at", Utc, nullable=False),
    _words("role", ROLES),
)

sessions = Table(
    "sessions",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("person", ForeignKey("people.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("form_key", String(64), nullable=False),
    Column("until", Utc, nullable=False),
)

invitations = Table(
    "invitations",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("role", String(8), nullable=False),
    Column("by", ForeignKey("people.id", ondelete="SET NULL")),
    Column("until", Utc, nullable=False),
    _words("role", ROLES),
)

attempts = Table(
    "attempts",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("what", Text, nullable=False),
    Column("at", Utc, nullable=False),
    Index("ix_attempts_what_at", "what", "at"),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", String(16), primary_key=True),
    Column("title", Text, nullable=False),
    Column("looked_up", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("stage", String(12), nullable=False),
    Column("waits_on", String(12), nullable=False),
    Column("created_at", Utc, nullable=False),
    Column("changed_at", Utc, nullable=False, index=True),
    _words("stage", STAGES),
    _words("waits_on", WAITS_ON),
    Index("ix_jobs_stage_changed_at", "stage", "changed_at"),
)

changes = Table(
    "changes",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("at", Utc, nullable=False),
    Column("person", String(16)),
    Column("who", Text, nullable=False),
    Column("path", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
    Column("undoes", Integer),
    Index("ix_changes_job_id", "job", "id"),
)

looked_at = Table(
    "looked_at",
    metadata,
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("person", String(16), primary_key=True),
    Column("text", Text, nullable=False),
)

notes = Table(
    "notes",
    metadata,
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("about", String(120), primary_key=True),
    Column("words", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("at", Utc, nullable=False),
)

photographs = Table(
    "photographs",
    metadata,
    Column("id", String(16), primary_key=True),
    Column("job", ForeignKey("jobs.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("item", Text, nullable=False),
    Column("caption", Text, nullable=False, server_default=""),
    Column("digest", String(64), nullable=False),
    Column("kind", String(12), nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("bytes", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("at", Utc, nullable=False),
    UniqueConstraint("job", "item", "digest", name="uq_photographs_once"),
)
