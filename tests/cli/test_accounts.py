"""`seamwalk account` looks after logins; `seamwalk serve` says when it can only read."""

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pyotp
import pytest

from helpers import PASSWORD, make_site
from seamwalk.cli import main, run_server
from seamwalk.store.access import accounts, office_sessions
from seamwalk.store.access.one_time_codes import new_secret
from seamwalk.store.engine import Store

OTHER = "otter blue quick mast"


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """A folder with two logins; anna is logged in twice and has one-time codes."""
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    now, secret = datetime.now(UTC), new_secret()
    with site.store.write() as session:
        for _ in range(2):
            office_sessions.begin(session, "anna", "a browser", now)
        accounts.enable_totp(session, "anna", secret, pyotp.TOTP(secret).at(now), now)
    monkeypatch.setenv("SEAMWALK_DIR", str(tmp_path))
    yield site.store
    site.store.engine.dispose()


def run(monkeypatch: pytest.MonkeyPatch, *arguments: str, typed: str = "") -> int:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{typed}\n"))
    return main(["account", *arguments])


def listed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> dict[str, list[str]]:
    capsys.readouterr()
    assert run(monkeypatch, "--list") == 0
    rows = [line.split("\t") for line in capsys.readouterr().out.splitlines()]
    return {login: rest for login, *rest in rows}


def test_logins_are_looked_after(
    store: Store, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    wim = ["warehouse", "one-time codes off", "0 sessions"]
    assert listed(monkeypatch, capsys) == {"anna": ["office", "one-time codes on", "2 sessions"], "wim": wim}
    assert run(monkeypatch, "anna", "--codes-off") == 0
    assert listed(monkeypatch, capsys)["anna"] == ["office", "one-time codes off", "2 sessions"]
    assert run(monkeypatch, "anna", "--end-sessions") == 0
    assert "2 sessions ended" in capsys.readouterr().out
    assert listed(monkeypatch, capsys)["anna"][-1] == "0 sessions"
    with store.write() as session:
        office_sessions.begin(session, "anna", "a browser", datetime.now(UTC))
    assert run(monkeypatch, "anna", "--new-password", typed=OTHER) == 0
    assert listed(monkeypatch, capsys)["anna"][-1] == "0 sessions"
    assert accounts.check_password(store, "anna", OTHER).role == "office"
    assert run(monkeypatch, "ada", "--role", "warehouse", typed=PASSWORD) == 0
    assert listed(monkeypatch, capsys)["ada"] == wim
    assert run(monkeypatch, "ada", "--remove") == 0
    assert "ada" not in listed(monkeypatch, capsys)


@pytest.mark.parametrize(
    ("arguments", "typed", "said"),
    [
        ((), "", "a login's name is needed"),
        (("anna",), PASSWORD, "login: anna is taken"),
        (("ada",), "short", "12 to 128 characters"),
        (("ada",), "long password", "guessed early"),
        (("wim", "--new-password"), "wimwimwimwim", "guessed early"),
        (("a b",), PASSWORD, "is not a valid login name"),
        (("x" * 61,), PASSWORD, "is not a valid login name"),
        (("nobody", "--codes-off"), "", "login nobody is not here"),
        (("nobody", "--end-sessions"), "", "Name one of: anna, wim"),
        (("nobody", "--remove"), "", "login nobody is not here"),
        (("nobody", "--new-password"), OTHER, "login nobody is not here"),
    ],
)
def test_what_can_not_be_done_is_one_clear_line(
    store: Store,
    arguments: tuple[str, ...],
    typed: str,
    said: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(monkeypatch, *arguments, typed=typed) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_serve_says_that_it_only_reads_and_serves(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    served: list[str] = []
    monkeypatch.setattr(run_server, "serve_app", lambda settings, **_: served.append(settings.public_url))
    assert main(["serve"]) == 0
    assert capsys.readouterr().err == ""
    (tmp_path / "wrapping.key").unlink()
    assert main(["serve"]) == 0
    assert "This server only reads: the wrapping key" in capsys.readouterr().err
    assert len(served) == 2
