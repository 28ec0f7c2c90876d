"""Sites made once and copied: a whole new one costs eight times as much (migrations, keys, passwords).

PostgreSQL copies a database's files in a sixth of the time that it takes by its log (18 and 115 ms).
"""

import atexit
import json
import shutil
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from sqlalchemy import URL, Engine, create_engine, make_url, text

from seamwalk.store.engine import make_engine
from seamwalk.store.migrations import upgrade

WRAPPING_KEY = "wrapping.key"
Kept = Path | URL
_made: dict[tuple[str, str], "Template"] = {}
# by kind of database, with the newest schema and nothing in it
_newest: dict[str, Kept] = {}


@dataclass(frozen=True)
class Template:
    """A database as a new site has it, its wrapping key, and its show."""

    database: Kept
    key_file: Path
    book: str
    owner: str

    def put(self, folder: Path, url: str) -> None:
        """Let the fresh database behind `url` be like this one."""
        shutil.copyfile(self.key_file, folder / WRAPPING_KEY)
        _put(self.database, make_url(url))


def template_of(url: str, plan: dict[str, Any]) -> Template | None:
    """The template for a kind of database and a plan, if one was made."""
    return _made.get(_key(url, plan))


def keep(folder: Path, url: str, plan: dict[str, Any], book: str, owner: str) -> None:
    """Make a template of a new site that nobody is connected to."""
    own = _new_folder()
    shutil.copyfile(folder / WRAPPING_KEY, own / WRAPPING_KEY)
    database = _set_aside(make_url(url), own)
    _made[_key(url, plan)] = Template(database, own / WRAPPING_KEY, book, owner)


def make_newest(url: str) -> Engine:
    """An engine on the fresh database of a URL, with the newest schema and nothing in it."""
    place = make_url(url)
    kind = place.get_backend_name()
    if kind in _newest:
        _put(_newest[kind], place)
        return make_engine(url)
    make_database(url)
    engine = make_engine(url)
    upgrade(engine)
    engine.dispose()
    _newest[kind] = _set_aside(place, _new_folder())
    return engine


def _new_folder() -> Path:
    own = Path(mkdtemp(prefix="seamwalk-template-"))
    atexit.register(shutil.rmtree, own, ignore_errors=True)
    return own


def _set_aside(there: URL, folder: Path) -> Kept:
    """Copy a database that nobody is connected to; SQLite's into a folder."""
    if there.get_backend_name() == "sqlite":
        return Path(shutil.copyfile(str(there.database), folder / "seamwalk.db"))
    aside = there.set(database=f"{there.database}_template")
    _copy_database(there, aside)
    return aside


def _put(kept: Kept, to: URL) -> None:
    """Let a fresh database be like one that was set aside."""
    if isinstance(kept, Path):
        shutil.copyfile(kept, str(to.database))
    else:
        _copy_database(kept, to)


def drop_databases() -> None:
    """Drop the templates that lie on a server."""
    for kept in (*(template.database for template in _made.values()), *_newest.values()):
        if isinstance(kept, URL):
            on_server(kept, "DROP DATABASE {}")


def _key(url: str, plan: dict[str, Any]) -> tuple[str, str]:
    return make_url(url).get_backend_name(), json.dumps(plan, sort_keys=True)


def make_database(url: str) -> None:
    """Make the empty database of a URL, unless SQLite makes it at its first connection."""
    place = make_url(url)
    if place.get_backend_name() != "sqlite":
        on_server(place, "DROP DATABASE IF EXISTS {}", "CREATE DATABASE {} STRATEGY FILE_COPY")


def _copy_database(of: URL, to: URL) -> None:
    create = f"CREATE DATABASE {{}} TEMPLATE {of.database} STRATEGY FILE_COPY"
    on_server(to, "DROP DATABASE IF EXISTS {}", create)


def on_server(database: URL, *statements: str) -> None:
    """Run statements about a database, `{}` its name, beside it and outside of any transaction."""
    with _beside(database.set(database="postgres")).connect() as connection:
        for statement in statements:
            connection.execute(text(statement.format(database.database)))


@cache
def _beside(server: URL) -> Engine:
    """A server's own database; one connection to it is kept, for each costs the server a process."""
    return create_engine(server, isolation_level="AUTOCOMMIT")
