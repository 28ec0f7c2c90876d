"""Engines with the durability that an acknowledged entry needs."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event, text
from sqlalchemy.orm import Session

from seamwalk import private_files
from seamwalk.errors import Conflict
from seamwalk.store.wrapping import NO_KEYS, KeyRing

RING = "ring"
WRITE = "seamwalk_write"
_PRAGMAS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "busy_timeout=30000",
    "cache_size=-65536",  # 64 MB, so that a long book's indexes stay in memory
)
# SQLite's user_version of a file that holds no private key from before they were wrapped
_SCRUBBED = 1
_ROOM = "Make room for a second copy beside it, stop what else uses it, then start again."


def make_engine(url: str) -> Engine:
    """Make an engine for a SQLite or PostgreSQL URL, prepared by `prepare_engine`."""
    return prepare_engine(create_engine(url))


def prepare_engine(engine: Engine) -> Engine:
    """Make SQLite durable (WAL, synchronous FULL) and private; writers queue from their first statement."""
    if engine.dialect.name == "sqlite":
        if engine.url.database:
            private_files.prepare_sqlite(Path(engine.url.database))
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
    """Write a whole copy of a SQLite database while it is in use, of mode 0600.

    Copying the file itself under writes loses rows. Raise Conflict when the target exists or it is no
    SQLite.
    """
    if engine.dialect.name != "sqlite":
        raise Conflict("the database is not SQLite", "Copy it with the database's own tool, such as pg_dump.")
    if target.exists():
        raise Conflict(f"{target} exists", "Name a file that does not exist yet.")
    private_files.prepare_sqlite(target)
    connection = engine.raw_connection()
    try:
        connection.cursor().execute("VACUUM INTO ?", (str(target),))
    except sqlite3.Error:
        target.unlink()
        raise
    finally:
        connection.close()


def scrub(engine: Engine) -> None:
    """Write a SQLite file anew once, so that no private key from before they were wrapped is left in it.

    Deleted rows stay readable in free pages and in the -wal file. Raise Conflict when it can not be done now.
    """
    if engine.dialect.name != "sqlite":
        return
    connection = engine.raw_connection()
    try:
        _scrub(connection.cursor())
    except sqlite3.Error as error:
        raise Conflict(
            f"the database can not be written anew without old private keys: {error}", _ROOM
        ) from error
    finally:
        connection.close()


def _scrub(cursor: Any) -> None:
    """Vacuum and empty the -wal file; the mark is set last, so that a broken attempt is made again."""
    if cursor.execute("PRAGMA user_version").fetchone()[0] >= _SCRUBBED:
        return
    cursor.execute("VACUUM")
    cursor.execute(f"PRAGMA user_version={_SCRUBBED}")
    busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    if busy:
        cursor.execute("PRAGMA user_version=0")


class Store:
    """A database and its two ways in; writers of one process go one at a time."""

    def __init__(self, engine: Engine, ring: KeyRing = NO_KEYS) -> None:
        self.engine = engine
        self._info = {RING: ring}
        self._writing = threading.Lock()

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Open a session for reading; what it changes is not kept."""
        with Session(self.engine, info=self._info) as session:
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """Open a session that commits at its end, or rolls back whole on any error."""
        engine = self.engine.execution_options(**{WRITE: True})
        with self._writing, Session(engine, expire_on_commit=False, info=self._info) as session:
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
