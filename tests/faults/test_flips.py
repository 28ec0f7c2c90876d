"""A flipped bit in the database file: either all that is served is the truth, or it is said what is wrong."""

import random
import shutil
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from helpers import EVERYTHING, NOW, make_site
from seamwalk.book.verify import verify_export
from seamwalk.cli import main
from seamwalk.config import KEY_FILE
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger import integrity
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.ledger.readers import page
from seamwalk.store.show.activity_log import show_log
from seamwalk.store.wrapping import KeyRing

FLIPS = 150
CHECKS = [f"A/tile/{column}.{row}/condition:sound" for column in (1, 2, 3) for row in (1, 2)]


@pytest.fixture(scope="module")
def closed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small book in a closed database file."""
    folder = tmp_path_factory.mktemp("closed")
    site = make_site(folder, f"sqlite:///{folder / 'seamwalk.db'}")
    phone = site.phone("chief")
    plan, _ = phone.plan("A")
    for number in range(30):
        note = phone.note(f"note {number}")
        fields: dict[str, Any] = {"result": "fault", "weight": "show", "reason": "wet", "note_blob": note}
        fields |= {"readings": [{"name": "surface_c", "unit": "deg_c", "value": number}]}
        phone.write("found", {"plan": plan, "checks": [CHECKS[number % 6]], **fields}, NOW)
    phone.sync()
    site.store.engine.dispose()
    return folder / "seamwalk.db"


def served(file: Path) -> tuple[list[str], object]:
    """All that this file would tell anybody."""
    engine = make_engine(f"sqlite:///{file}")
    try:
        with Store(engine).read() as session:
            book = find_book(session, "test-show")
            lines = list(export_book(session, book))
            verify_export((line.encode() for line in lines), book.owner_fingerprint)
            states = wall_states(session, book.id, "A")
            given = page(session, book.id, 0, EVERYTHING)
            told = show_log(session, book.id)
            return lines, (states, given, sign_offs(session, book.id), told)
    finally:
        engine.dispose()


def found_wrong(file: Path, closed: Path) -> list[str]:
    """What `seamwalk check --full` says, with the wrapping key of the closed book."""
    engine = make_engine(f"sqlite:///{file}")
    try:
        with Store(engine, KeyRing.from_file(closed.parent / KEY_FILE)).read() as session:
            return integrity.check(session, full=True)
    except DBAPIError as error:
        return [str(error.orig)]
    finally:
        engine.dispose()


def test_an_untouched_file_is_found_whole(closed: Path) -> None:
    assert found_wrong(closed, closed) == []


def test_a_flipped_bit_is_told_or_changes_nothing(closed: Path, tmp_path: Path) -> None:
    truth = served(closed)
    rng = random.Random(20261125)
    told = 0
    for _ in range(FLIPS):
        data = bytearray(closed.read_bytes())
        place = rng.randrange(len(data))
        data[place] ^= 1 << rng.randrange(8)
        file = tmp_path / "flipped.db"
        for old in tmp_path.glob("flipped.db*"):
            old.unlink()
        file.write_bytes(data)
        if found_wrong(file, closed):
            told += 1
        else:
            assert served(file) == truth, f"byte {place}: damaged, and nobody says so"
    assert told > FLIPS / 4


def test_damage_keeps_the_server_from_starting_and_names_the_way_back(
    closed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SEAMWALK_DIR", str(tmp_path))
    shutil.copy(closed, tmp_path / "seamwalk.db")
    engine = make_engine(f"sqlite:///{tmp_path / 'seamwalk.db'}")
    with Store(engine).write() as session:
        find_book(session, "test-show").frontier = {"size": 1, "roots": ["00" * 32]}
    engine.dispose()
    assert main(["serve"]) == 2
    error = capsys.readouterr().err
    assert "its newest head and its frontier differ" in error
    assert "seamwalk restore" in error
    assert main(["check", "--full"]) == 1


def test_wrong_tables_are_made_right_by_rebuild(
    closed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SEAMWALK_DIR", str(tmp_path))
    shutil.copy(closed, tmp_path / "seamwalk.db")
    engine = make_engine(f"sqlite:///{tmp_path / 'seamwalk.db'}")
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE check_states SET rank = 2")
    engine.dispose()
    (line,) = found_wrong(tmp_path / "seamwalk.db", closed)
    assert line == "test-show: table check_states is not what the book says. Run `seamwalk rebuild`."
    assert main(["rebuild"]) == 0
    assert found_wrong(tmp_path / "seamwalk.db", closed) == []
