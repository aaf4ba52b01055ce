"""Alembic's entry: applies the changes on the connection, and in the transaction, that `schema` hands over."""

from __future__ import annotations

from alembic import context

# Without transactional_ddl Alembic takes SQLite for a database that cannot undo a half-made change; it can.
context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
context.run_migrations()
