"""Job files stand apart from the list, a removed part comes back with its comments, a crash leaves no files behind."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Move the texts, add the rest."""
    op.create_table(
        "texts",
        sa.Column("job", sa.String(16), nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("job", name=op.f("pk_texts")),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name=op.f("fk_texts_job"), ondelete="CASCADE"),
    )
    op.execute("INSERT INTO texts (job, text) SELECT id, text FROM jobs")
    op.drop_column("jobs", "text")
    op.add_column("changes", sa.Column("whole", sa.Text))
    op.create_table(
        "leftovers",
        sa.Column("photograph", sa.String(16), nullable=False),
        sa.Column("job", sa.String(16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("photograph", name=op.f("pk_leftovers")),
    )
