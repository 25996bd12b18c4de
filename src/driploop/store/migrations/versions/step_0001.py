"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

_MOMENT = sa.DateTime(timezone=True)


def _words(table: str, column: str, *allowed: str) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in allowed)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=op.f(f"ck_{table}_{column}"))


def _to(table: str, column: str, other: str, *, on_delete: str = "CASCADE") -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{other}.id"], name=op.f(f"fk_{table}_{column}"), ondelete=on_delete)


def upgrade() -> None:
    """Make them."""
    op.create_table(
        "people",
        sa.Column("id", sa.String(16), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("sign_in", sa.Text, nullable=False),
        sa.Column("role", sa.String(8), nullable=False),
        sa.Column("password", sa.Text),
        sa.Column("active", sa.Integer, nullable=False, server_default="1"),
        sa.Column("created_at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("sign_in", name=op.f("uq_people_sign_in")),
        _words("people", "role", "owner", "crew", "view"),
    )
    op.create_table(
        "sessions",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("person", sa.String(16), nullable=False),
        sa.Column("form_key", sa.String(64), nullable=False),
        sa.Column("until", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_sessions")),
        _to("sessions", "person", "people"),
    )
    op.create_index(op.f("ix_sessions_person"), "sessions", ["person"])
    op.create_table(
        "invitations",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("role", sa.String(8), nullable=False),
        sa.Column("by", sa.String(16)),
        sa.Column("until", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_invitations")),
        _to("invitations", "by", "people", on_delete="SET NULL"),
        _words("invitations", "role", "owner", "crew", "view"),
    )
    op.create_table(
        "attempts",
        sa.Column("id", sa.Integer, autoincrement=True, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempts")),
    )
    op.create_index("ix_attempts_what_at", "attempts", ["what", "at"])
    _jobs()
    _beside_jobs()


def _jobs() -> None:
    op.create_table(
        "jobs",
        sa.Column("id", sa.String(16), nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("looked_up", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("stage", sa.String(12), nullable=False),
        sa.Column("waits_on", sa.String(12), nullable=False),
        sa.Column("created_at", _MOMENT, nullable=False),
        sa.Column("changed_at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
        _words("jobs", "stage", "surveyed", "quoted", "permit", "dated", "cut over", "passed", "closed"),
        _words("jobs", "waits_on", "nobody", "shop", "customer", "town", "utility", "inspector"),
    )
    op.create_index(op.f("ix_jobs_changed_at"), "jobs", ["changed_at"])
    op.create_index("ix_jobs_stage_changed_at", "jobs", ["stage", "changed_at"])
    op.create_table(
        "changes",
        sa.Column("id", sa.Integer, autoincrement=True, nullable=False),
        sa.Column("job", sa.String(16), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.Column("person", sa.String(16)),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("path", sa.Text, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
        sa.Column("undoes", sa.Integer),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_changes")),
        _to("changes", "job", "jobs"),
    )
    op.create_index("ix_changes_job_id", "changes", ["job", "id"])


def _beside_jobs() -> None:
    op.create_table(
        "looked_at",
        sa.Column("job", sa.String(16), nullable=False),
        sa.Column("person", sa.String(16), nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("job", "person", name=op.f("pk_looked_at")),
        _to("looked_at", "job", "jobs"),
    )
    op.create_table(
        "notes",
        sa.Column("job", sa.String(16), nullable=False),
        sa.Column("about", sa.String(120), nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("job", "about", name=op.f("pk_notes")),
        _to("notes", "job", "jobs"),
    )
    op.create_table(
        "photographs",
        sa.Column("id", sa.String(16), nullable=False),
        sa.Column("job", sa.String(16), nullable=False),
        sa.Column("item", sa.Text, nullable=False),
        sa.Column("caption", sa.Text, nullable=False, server_default=""),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.Column("bytes", sa.Integer, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photographs")),
        _to("photographs", "job", "jobs"),
        sa.UniqueConstraint("job", "item", "digest", name=op.f("uq_photographs_once")),
    )
    op.create_index(op.f("ix_photographs_job"), "photographs", ["job"])
