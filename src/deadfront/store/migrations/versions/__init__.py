"""One file for each version of the schema, oldest first; a file once released is never changed.

Comes in: a connection, through `alembic.op`.
Goes out: the schema one version later.
May import: alembic, sqlalchemy; never the tables of today, which later versions change.
Start reading: v0001_jobs_and_revisions.py.
"""
