"""Sites made once and copied: a whole new one costs eight times as much (migrations, keys, passwords).

PostgreSQL copies a database's files in a sixth of the time that it takes by its log (18 and 115 ms).
"""

import atexit
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from sqlalchemy import URL, create_engine, make_url, text

WRAPPING_KEY = "wrapping.key"
_made: dict[tuple[str, str], "Template"] = {}


@dataclass(frozen=True)
class Template:
    """A database as a new site has it, its wrapping key, and its show."""

    database: Path | URL
    key_file: Path
    book: str
    owner: str

    def put(self, folder: Path, url: str) -> None:
        """Let the fresh database behind `url` be like this one."""
        shutil.copyfile(self.key_file, folder / WRAPPING_KEY)
        if isinstance(self.database, Path):
            shutil.copyfile(self.database, str(make_url(url).database))
        else:
            _copy_database(self.database, make_url(url))


def template_of(url: str, plan: dict[str, Any]) -> Template | None:
    """The template for a kind of database and a plan, if one was made."""
    return _made.get(_key(url, plan))


def keep(folder: Path, url: str, plan: dict[str, Any], book: str, owner: str) -> None:
    """Make a template of a new site that nobody is connected to."""
    own = Path(mkdtemp(prefix="seamwalk-template-"))
    atexit.register(shutil.rmtree, own, ignore_errors=True)
    shutil.copyfile(folder / WRAPPING_KEY, own / WRAPPING_KEY)
    there = make_url(url)
    database: Path | URL = own / "seamwalk.db"
    if there.get_backend_name() == "sqlite":
        shutil.copyfile(str(there.database), own / "seamwalk.db")
    else:
        database = there.set(database=f"{there.database}_template")
        _copy_database(there, database)
    _made[_key(url, plan)] = Template(database, own / WRAPPING_KEY, book, owner)


def drop_databases() -> None:
    """Drop the templates that lie on a server."""
    for template in _made.values():
        if isinstance(template.database, URL):
            _on_server(template.database, lambda name: [f"DROP DATABASE {name}"])


def _key(url: str, plan: dict[str, Any]) -> tuple[str, str]:
    return make_url(url).get_backend_name(), json.dumps(plan, sort_keys=True)


def _copy_database(of: URL, to: URL) -> None:
    statements = [
        "DROP DATABASE IF EXISTS {}",
        f"CREATE DATABASE {{}} TEMPLATE {of.database} STRATEGY FILE_COPY",
    ]
    _on_server(to, lambda name: [statement.format(name) for statement in statements])


def _on_server(database: URL, statements: Callable[[str | None], list[str]]) -> None:
    """Run statements about a database beside it, outside of any transaction."""
    admin = create_engine(database.set(database="postgres"), isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        for statement in statements(database.database):
            connection.execute(text(statement))
    admin.dispose()
