"""Alembic's entry: runs migrations on the connection that `upgrade` gives it."""

from alembic import context

from seamwalk.store import tables  # noqa: F401 - they are the schema
from seamwalk.store.db import db

context.configure(connection=context.config.attributes["connection"], target_metadata=db.metadata)
context.run_migrations()
