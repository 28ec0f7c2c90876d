"""The database is away, at start and while serving: it is said so, and when it is back all goes on."""

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from proxy import Proxy
from sqlalchemy import create_engine, make_url, text
from sqlalchemy.exc import DBAPIError
from werkzeug.test import TestResponse

from helpers import NOW, Site, client_of, logged_in, make_site, reopen_site
from real_server import HttpClient, Server
from seamwalk import cli
from seamwalk.store.database_errors import DatabaseProblem, classify
from seamwalk.store.engine import copy_database

CHECK = "A/tile/1.1/condition:sound"
CALL = {"X-Seamwalk": "1"}


@dataclass
class Away:
    """A site whose database can be taken away and brought back."""

    site: Site
    url: str
    take: Callable[[], object]
    bring: Callable[[], object]


@pytest.fixture
def away(tmp_path: Path, database_url: str) -> Iterator[Away]:
    if database_url.startswith("sqlite"):
        file, elsewhere = tmp_path / "data" / "seamwalk.db", tmp_path / "elsewhere"
        file.parent.mkdir()
        url = f"sqlite:///{file}"
        made = Away(
            make_site(tmp_path, url),
            url,
            lambda: file.parent.rename(elsewhere),
            lambda: elsewhere.rename(file.parent),
        )
        yield made
    else:
        proxy = Proxy(database_url)
        made = Away(make_site(tmp_path, proxy.url), proxy.url, proxy.close, proxy.open)
        yield made
        proxy.close()
    made.site.store.engine.dispose()


def say_away(answer: TestResponse) -> None:
    assert answer.status_code == 503
    assert answer.headers["Retry-After"] == "5"
    assert "database is away" in answer.text
    assert "Start the database" in answer.text


def test_everybody_is_told_and_all_goes_on_when_it_is_back(away: Away) -> None:
    site = away.site
    phone, office = site.phone(), logged_in(site)
    phone.write("found", {"plan": "0" * 64, "checks": [CHECK], "result": "ok"}, NOW)
    away.take()
    body = {"after": 0, "entries": [entry.jws for entry in phone.pending]}
    for _ in range(2):
        sync = client_of(phone).post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL)
        for answer in (sync, office.get("/office/"), office.get("/api/v1/health")):
            say_away(answer)
        assert sync.get_json()["error"] == "storage_away"
        assert office.get("/").status_code == 200
    away.bring()
    assert office.get("/api/v1/health").status_code == 200
    assert office.get("/office/shows/test-show").status_code == 200
    assert phone.sync() == ["kept"]


def test_a_login_while_it_is_away_is_answered(away: Away) -> None:
    client = away.site.app.test_client()
    page = client.get("/office/login").text
    token = page.split('name="csrf_token"')[1].split('value="')[1].split('"')[0]
    away.take()
    say_away(client.post("/office/login", data={"csrf_token": token, "login": "anna", "password": "x"}))


@pytest.mark.parametrize(
    "command", [["serve"], ["books"], ["check"], ["rebuild"], ["export", "x", "-o", "-"]]
)
def test_every_command_says_so_in_one_line(
    away: Away,
    command: list[str],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    monkeypatch.setenv("SEAMWALK_DIR", str(tmp_path))
    monkeypatch.setenv("SEAMWALK_DATABASE_URL", away.url)
    away.take()
    assert cli.main(command) == cli.NO_DATABASE
    said = capsys.readouterr().err
    assert said.startswith("seamwalk: the server's database is away (")
    assert said.count("\n") == 1


def test_a_file_that_is_gone_is_not_written_on_and_none_is_made_in_its_place(tmp_path: Path) -> None:
    """SQLite by itself does both: what it acknowledges then is nowhere."""
    file = tmp_path / "seamwalk.db"
    site = make_site(tmp_path, f"sqlite:///{file}")
    phone = site.phone()
    for name in ("seamwalk.db", "seamwalk.db-wal", "seamwalk.db-shm"):
        (tmp_path / name).unlink(missing_ok=True)
    say_away(client_of(phone).get("/api/v1/health"))
    assert not file.exists()
    site.store.engine.dispose()


def test_another_file_at_its_place_is_not_gone_on_with(tmp_path: Path) -> None:
    """The log that lies beside it is the first one's."""
    file, copy = tmp_path / "seamwalk.db", tmp_path / "copy.db"
    site = make_site(tmp_path, f"sqlite:///{file}")
    copy_database(site.store.engine, copy)
    copy.replace(file)
    say_away(site.app.test_client().get("/api/v1/health"))
    site.store.engine.dispose()
    again = reopen_site(site, file)
    assert logged_in(again).get("/office/shows/test-show").status_code == 200
    again.store.engine.dispose()


def test_connections_that_the_server_ended_are_made_again(away: Away) -> None:
    """A restart of PostgreSQL ends what stands in the pool."""
    site = away.site
    phone = site.phone()
    if away.url.startswith("postgresql"):
        admin = create_engine(away.url, isolation_level="AUTOCOMMIT")
        with admin.connect() as connection:
            name = make_url(away.url).database
            end = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = :name"
            connection.execute(text(f"{end} AND pid <> pg_backend_pid()"), {"name": name})
        admin.dispose()
    else:
        away.take()
        away.bring()
    assert phone.sync() == []


def test_a_served_site_goes_on_when_its_database_is_back(tmp_path: Path) -> None:
    server = Server(tmp_path / "data")
    server.run("account", "anna", given="long password\n")
    server.start()
    try:
        client = HttpClient(server.url)
        (tmp_path / "data").rename(tmp_path / "elsewhere")
        assert client.get("/api/v1/health").json["error"] == "storage_away"
        (tmp_path / "elsewhere").rename(tmp_path / "data")
        assert client.get("/api/v1/health").status_code == 200
    finally:
        server.stop()


@pytest.mark.parametrize(
    ("code", "trouble"),
    [
        ("SQLITE_CANTOPEN", DatabaseProblem.STORAGE_AWAY),
        ("SQLITE_READONLY_DBMOVED", DatabaseProblem.STORAGE_AWAY),
        ("SQLITE_CORRUPT", DatabaseProblem.STORAGE_DAMAGED),
        ("SQLITE_NOTADB", DatabaseProblem.STORAGE_DAMAGED),
        ("SQLITE_FULL", DatabaseProblem.STORAGE_FULL),
        ("SQLITE_BUSY_SNAPSHOT", DatabaseProblem.STORAGE_BUSY),
    ],
)
def test_what_sqlite_says_is_understood(code: str, trouble: DatabaseProblem) -> None:
    error = sqlite3.OperationalError("x")
    error.sqlite_errorname = code
    assert classify(DBAPIError("", {}, error)) is trouble


@pytest.mark.parametrize(
    ("code", "trouble"),
    [
        ("57P01", DatabaseProblem.STORAGE_AWAY),
        ("57P03", DatabaseProblem.STORAGE_AWAY),
        ("08006", DatabaseProblem.STORAGE_AWAY),
        ("3D000", DatabaseProblem.STORAGE_AWAY),
        ("28P01", DatabaseProblem.STORAGE_AWAY),
        ("53100", DatabaseProblem.STORAGE_FULL),
        ("53300", DatabaseProblem.STORAGE_BUSY),
        ("40001", DatabaseProblem.STORAGE_BUSY),
        ("42P01", DatabaseProblem.STORAGE_DAMAGED),
        ("XX001", DatabaseProblem.STORAGE_DAMAGED),
    ],
)
def test_what_postgresql_says_is_understood(code: str, trouble: DatabaseProblem) -> None:
    """Source: PostgreSQL's documentation, appendix A, error codes (from memory)."""

    class Error(Exception):
        sqlstate = code

    assert classify(DBAPIError("", {}, Error("x"))) is trouble
