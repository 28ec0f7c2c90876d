"""Engines with the durability that an acknowledged entry needs."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event, text
from sqlalchemy.orm import Session

from seamwalk.errors import Conflict

WRITE = "seamwalk_write"
_PRAGMAS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "busy_timeout=30000",
    "cache_size=-65536",  # 64 MB, so that a long book's indexes stay in memory
)


def make_engine(url: str) -> Engine:
    """Make an engine for a SQLite or PostgreSQL URL, prepared by `prepare_engine`."""
    return prepare_engine(create_engine(url))


def prepare_engine(engine: Engine) -> Engine:
    """Make SQLite durable (WAL, synchronous FULL) and its writers queue from their first statement."""
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    connection.isolation_level = None
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Any) -> None:
    writes = connection.get_execution_options().get(WRITE, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def copy_database(engine: Engine, target: Path) -> None:
    """Write a whole copy of a SQLite database while it is in use.

    Copying the file itself under writes loses rows. Raise Conflict when the target exists or it is no
    SQLite.
    """
    if engine.dialect.name != "sqlite":
        raise Conflict("the database is not SQLite", "Copy it with the database's own tool, such as pg_dump.")
    if target.exists():
        raise Conflict(f"{target} exists", "Name a file that does not exist yet.")
    connection = engine.raw_connection()
    try:
        connection.cursor().execute("VACUUM INTO ?", (str(target),))
    finally:
        connection.close()


class Store:
    """A database and its two ways in; writers of one process go one at a time."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._writing = threading.Lock()

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Open a session for reading; what it changes is not kept."""
        with Session(self.engine) as session:
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """Open a session that commits at its end, or rolls back whole on any error."""
        engine = self.engine.execution_options(**{WRITE: True})
        with self._writing, Session(engine, expire_on_commit=False) as session:
            yield session
            session.commit()

    def describe(self) -> dict[str, str]:
        """Name the database and its version, and how writers share it."""
        with self.read() as session:
            query = (
                "SELECT sqlite_version()" if self.engine.dialect.name == "sqlite" else "SHOW server_version"
            )
            version = session.execute(text(query)).scalar_one()
        return {
            "database": self.engine.dialect.name,
            "database_version": str(version),
            "writers": "one at a time",
        }
