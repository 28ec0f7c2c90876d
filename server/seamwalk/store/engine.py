"""Engines with the durability that an acknowledged entry needs."""

import json
import os
import sqlite3
import threading
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from json.encoder import encode_basestring_ascii
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event, make_url, text
from sqlalchemy.exc import DisconnectionError
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
_Identity = tuple[int, int]
# a server that is away is found out in seconds, also one that went without a word
_POSTGRESQL: dict[str, Any] = {
    "pool_pre_ping": True,
    "connect_args": {
        "connect_timeout": 5,
        "keepalives_idle": 10,
        "keepalives_interval": 5,
        "keepalives_count": 3,
        "tcp_user_timeout": 20_000,
    },
}


def engine_options(url: str) -> dict[str, Any]:
    """What an engine for this URL is made with, so that it finds its way back to a database that was away."""
    return _POSTGRESQL if make_url(url).get_backend_name() == "postgresql" else {}


def make_engine(url: str) -> Engine:
    """Make an engine for a SQLite or PostgreSQL URL, prepared by `prepare_engine`."""
    return prepare_engine(create_engine(url, json_serializer=to_json, **engine_options(url)))


def to_json(value: Any) -> str:
    """Write JSON as `json.dumps` does, lists of texts without its detours: every finding has three."""
    if isinstance(value, list) and all(isinstance(item, str) for item in value):
        return f"[{', '.join(map(encode_basestring_ascii, value))}]"
    return json.dumps(value)


def prepare_engine(engine: Engine) -> Engine:
    """Make SQLite durable (WAL, synchronous FULL) and private; writers queue from their first statement."""
    if engine.dialect.name == "sqlite":
        if engine.url.database not in (None, "", ":memory:"):
            _keep_file(engine, Path(str(engine.url.database)))
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    return engine


def _keep_file(engine: Engine, path: Path) -> None:
    """Make the file private where its folder is there; where it is not, the first connection says so."""
    if path.parent.is_dir():
        private_files.prepare_sqlite(path)
    _watch_file(engine, path)


def _watch_file(engine: Engine, path: Path) -> None:
    """Never write into a file that has been taken away, make a new one in its place, or go on in another.

    SQLite itself does all three: it goes on in the file that it has open, makes one where none is, and reads
    another with the log of the first.
    """
    seen: set[_Identity] = set()

    def require(_dialect: Any, _record: Any, _arguments: Any, _options: Any) -> None:
        problem = _problem(path, seen)
        if problem is not None:
            error = sqlite3.OperationalError(problem)
            error.sqlite_errorname = "SQLITE_CANTOPEN"
            raise error

    def note(_connection: Any, record: Any) -> None:
        record.info["file"] = _identity(path)
        if record.info["file"] is not None:
            seen.add(record.info["file"])

    def compare(_connection: Any, record: Any, _proxy: Any) -> None:
        if record.info.get("file") != _identity(path):
            raise DisconnectionError

    event.listen(engine, "do_connect", require)
    event.listen(engine, "connect", note)
    event.listen(engine, "checkout", compare)


def _problem(path: Path, seen: Collection[_Identity]) -> str | None:
    """Why a database file cannot be opened; the first time one may be made in a folder that is there."""
    found = _identity(path)
    if found is None:
        missing = path if path.parent.is_dir() else path.parent
        return f"{missing} is not there" if seen or missing != path else None
    if seen and found not in seen:
        return f"another file stands at {path} now: stop serving, then start again"
    return None if os.access(path, os.R_OK | os.W_OK) else f"{path} may not be read and written"


def _identity(path: Path) -> _Identity | None:
    """What tells one file from another at the same path; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


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
    """Rewrite a SQLite file once, so that no private key from before they were wrapped is left in it.

    Deleted rows stay readable in free pages and in the -wal file. Raise Conflict when it cannot be done now.
    """
    if engine.dialect.name != "sqlite":
        return
    connection = engine.raw_connection()
    try:
        _scrub(connection.cursor())
    except sqlite3.Error as error:
        raise Conflict(
            f"the database cannot be rewritten without old private keys: {error}", _ROOM
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
