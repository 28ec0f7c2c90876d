"""Alembic migrations, run in the process itself; each is applied and recorded in one transaction."""

from functools import cache
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from seamwalk.store.engine import WRITE
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.tables import Book
from seamwalk.store.wrapping import NO_KEYS, KeyRing


def upgrade(engine: Engine, revision: str = "head", ring: KeyRing = NO_KEYS) -> None:
    """Bring a database to the newest schema, or to an older one's revision, whole or not at all.

    The tables that come from the books are made again under the newest schema. Private keys that lie there
    readable are wrapped by `ring`; raise KeyUnavailable when it has no key.
    """
    config = _config()
    config.attributes["ring"] = ring
    if is_current(engine):
        return
    with engine.execution_options(**{WRITE: True}).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, revision)
        if revision == "head":
            with Session(connection) as session:
                for book in session.scalars(select(Book.id)).all():
                    rebuild(session, book)
                session.commit()


def is_current(engine: Engine) -> bool:
    """Whether a database has the newest schema."""
    with engine.connect() as connection:
        current = MigrationContext.configure(connection).get_current_revision()
    return current == _newest()


@cache
def _newest() -> str | None:
    """The newest schema's revision, read off the migrations once: they stay as they are while it runs."""
    return ScriptDirectory.from_config(_config()).get_current_head()


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent))
    return config
