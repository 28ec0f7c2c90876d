"""The first edition's doors: readable private keys, and passwords hashed by scrypt."""

import sqlite3
from pathlib import Path

import pytest
from flask import Flask

from first_edition.opened import BOOKS, unpacked
from helpers import send
from seamwalk.book.jose import PrivateKey
from seamwalk.config import load_settings
from seamwalk.store.access.passwords import is_current
from seamwalk.store.engine import Store
from seamwalk.store.ledger.keys import Purpose, key_problems, private_key
from seamwalk.store.tables import Account
from seamwalk.web import create_app

OLD_PASSWORD = "long password"


def keys_of_before(folder: Path) -> list[tuple[str, Purpose, str]]:
    """Book, purpose and readable key of every row, as the first edition left them."""
    file = folder / "before.db"
    file.write_bytes(unpacked("seamwalk.db.gz"))
    with sqlite3.connect(file) as connection:
        return connection.execute("SELECT book, purpose, pem FROM keys").fetchall()


def test_every_key_is_wrapped_and_the_same(store: Store, tmp_path: Path) -> None:
    before = keys_of_before(tmp_path)
    assert len(before) == 2 * len(BOOKS)
    with store.read() as session:
        for book, purpose, pem in before:
            if purpose == "owner" or book != BOOKS["clean"]["book"]:
                assert private_key(session, book, purpose).thumbprint == PrivateKey.from_pem(pem).thumbprint
        assert list(key_problems(session)) == []


def test_nothing_of_a_readable_key_is_left_in_any_file(app: Flask, tmp_path: Path) -> None:
    files = sorted(tmp_path.glob("seamwalk.db*"))
    after = b"".join(path.read_bytes() for path in files)
    readable = [line for _, _, pem in keys_of_before(tmp_path) for line in pem.splitlines()[1:-1]]
    before = unpacked("seamwalk.db.gz")
    assert all(line.encode() in before for line in readable)
    assert [line for line in readable if line.encode() in after] == []
    assert b"PRIVATE KEY" not in after
    assert tmp_path / "seamwalk.db" in files


def test_a_start_that_was_cut_off_before_the_file_was_written_anew_does_it_the_next_time(
    app: Flask, tmp_path: Path, store: Store
) -> None:
    """The mark in the file is set last."""
    with sqlite3.connect(tmp_path / "seamwalk.db") as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (1,)
        connection.execute("CREATE TABLE old (pem TEXT)")
        connection.execute("INSERT INTO old VALUES ('readable private key')")
        connection.commit()
        connection.execute("DROP TABLE old")
        connection.execute("PRAGMA user_version=0")
    connection.close()
    store.engine.dispose()
    settings = load_settings({"SEAMWALK_DIR": str(tmp_path)})
    again = create_app(settings)
    left = b"".join(path.read_bytes() for path in tmp_path.glob("seamwalk.db*"))
    assert b"readable private key" not in left
    again.extensions["seamwalk"].store.engine.dispose()


@pytest.mark.parametrize(("login", "other"), [("anna", "wim"), ("wim", "anna")])
def test_an_old_password_is_good_and_hashed_anew_at_login(
    app: Flask, store: Store, login: str, other: str
) -> None:
    client = app.test_client()
    assert "is wrong" in send(client, "/office/login", login=login, password="another password").text
    assert send(client, "/office/login", login=login, password=OLD_PASSWORD).status_code == 302
    with store.read() as session:
        assert is_current(session.get_one(Account, login).password_hash)
        assert session.get_one(Account, other).password_hash.startswith("scrypt:")
    again = app.test_client()
    assert send(again, "/office/login", login=login, password=OLD_PASSWORD).status_code == 302
