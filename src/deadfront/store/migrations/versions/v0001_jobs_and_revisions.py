"""Jobs, their revisions and attachments, preferences."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """From nothing."""
    op.create_table(
        "jobs",
        sa.Column("id", sa.String(40), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("created", sa.String(32), nullable=False),
        sa.Column("changed", sa.String(32), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("status", sa.String(16), nullable=False),
        sa.Column("follows", sa.String(40), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.ForeignKeyConstraint(["follows"], ["jobs.id"], name="fk_jobs_follows"),
    )
    op.create_table(
        "revisions",
        sa.Column("job", sa.String(40), nullable=False),
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("parent", sa.Integer, nullable=True),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("say", sa.JSON, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("edits", sa.JSON, nullable=False),
        sa.Column("touched", sa.JSON, nullable=False),
        sa.Column("toml", sa.Text, nullable=False),
        sa.Column("parsed", sa.JSON, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("job", "number", name="pk_revisions"),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_revisions_job"),
    )
    op.create_table(
        "attachments",
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("media", sa.String(100), nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("bytes", sa.LargeBinary, nullable=True),
        sa.PrimaryKeyConstraint("hash", name="pk_attachments"),
    )
    op.create_table(
        "job_attachments",
        sa.Column("job", sa.String(40), nullable=False),
        sa.Column("name", sa.String(64), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("job", "name", name="pk_job_attachments"),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_job_attachments_job"),
        sa.ForeignKeyConstraint(["hash"], ["attachments.hash"], name="fk_job_attachments_hash"),
    )
    op.create_table(
        "preferences",
        sa.Column("key", sa.String(100), nullable=False),
        sa.Column("value", sa.JSON, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_preferences"),
    )
