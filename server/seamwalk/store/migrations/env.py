"""Alembic's entry: runs migrations on the connection that `upgrade` gives it."""

from alembic import context

from seamwalk.store import stock_tables  # noqa: F401 - its tables are of the schema
from seamwalk.store.tables import Base

context.configure(connection=context.config.attributes["connection"], target_metadata=Base.metadata)
context.run_migrations()
