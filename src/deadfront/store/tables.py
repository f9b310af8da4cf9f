"""The tables of the library: one schema for SQLite and PostgreSQL, portable types only.

Times are UTC text of fixed width, so that they sort alike everywhere. Rows of `revisions`, `issued` and
`attachments` are only ever added. Change a table here and in a new file of migrations/versions, in one commit.
"""

from __future__ import annotations

import sqlalchemy as sa

# Every schema version this program knows, oldest first; the last is the one it works with.
VERSIONS = ("0001", "0002")
HEAD = VERSIONS[-1]

metadata = sa.MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

jobs = sa.Table(
    "jobs",
    metadata,
    sa.Column("id", sa.String(40), primary_key=True),
    sa.Column("name", sa.String(200), nullable=False),
    sa.Column("created", sa.String(32), nullable=False),
    sa.Column("changed", sa.String(32), nullable=False),
    sa.Column("revision", sa.Integer, nullable=False),
    sa.Column("status", sa.String(16), nullable=False),
    sa.Column("follows", sa.String(40), sa.ForeignKey("jobs.id"), nullable=True),
)

revisions = sa.Table(
    "revisions",
    metadata,
    sa.Column("job", sa.String(40), sa.ForeignKey("jobs.id"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
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
)

attachments = sa.Table(
    "attachments",
    metadata,
    sa.Column("hash", sa.String(64), primary_key=True),
    sa.Column("media", sa.String(100), nullable=False),
    sa.Column("size", sa.Integer, nullable=False),
    sa.Column("bytes", sa.LargeBinary, nullable=True),  # left out: in the folder beside the library, by hash
)

job_attachments = sa.Table(
    "job_attachments",
    metadata,
    sa.Column("job", sa.String(40), sa.ForeignKey("jobs.id"), primary_key=True),
    sa.Column("name", sa.String(64), primary_key=True),
    sa.Column("hash", sa.String(64), sa.ForeignKey("attachments.hash"), nullable=False),
)

preferences = sa.Table(
    "preferences",
    metadata,
    sa.Column("key", sa.String(100), primary_key=True),
    sa.Column("value", sa.JSON, nullable=False),
)

issued = sa.Table(
    "issued",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
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
    sa.ForeignKeyConstraint(["job", "revision"], ["revisions.job", "revisions.number"]),
    sa.Index(None, "job"),
)

results = sa.Table(
    "results",
    metadata,
    sa.Column("kind", sa.String(40), primary_key=True),
    sa.Column("input_hash", sa.String(64), primary_key=True),
    sa.Column("engine_version", sa.String(40), primary_key=True),
    sa.Column("job", sa.String(40), sa.ForeignKey("jobs.id"), nullable=True),
    sa.Column("at", sa.String(32), nullable=False),
    sa.Column("body", sa.JSON, nullable=False),
    sa.Index(None, "job", "kind"),
)
