"""Run the steps on the connection that the library hands over, inside its transaction."""

from __future__ import annotations

from alembic import context

from deadfront.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
    render_as_batch=True,
)
context.run_migrations()
