"""How a library of an older version becomes one of today: Alembic's steps, run when the library is opened.

Comes in: a connection with a transaction already begun.
Goes out: the schema of `tables.HEAD`, all or nothing.
May import: alembic, sqlalchemy; of the project only tables.
Start reading: env.py, then versions/ in order.
"""
