"""What was signed, and the stored results of stages that run only when asked."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """From 0001."""
    op.create_table(
        "issued",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("job", sa.String(40), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("license", sa.String(200), nullable=False),
        sa.Column("codebook_hash", sa.String(64), nullable=False),
        sa.Column("engine_version", sa.String(40), nullable=False),
        sa.Column("result_digest", sa.String(64), nullable=False),
        sa.Column("answers", sa.JSON, nullable=False),
        sa.Column("language", sa.String(8), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_issued"),
        sa.ForeignKeyConstraint(
            ["job", "revision"], ["revisions.job", "revisions.number"], name="fk_issued_job_revision"
        ),
    )
    op.create_index("ix_issued_job", "issued", ["job"])
    op.create_table(
        "results",
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("input_hash", sa.String(64), nullable=False),
        sa.Column("engine_version", sa.String(40), nullable=False),
        sa.Column("job", sa.String(40), nullable=True),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sa.PrimaryKeyConstraint("kind", "input_hash", "engine_version", name="pk_results"),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name="fk_results_job"),
    )
    op.create_index("ix_results_job_kind", "results", ["job", "kind"])
