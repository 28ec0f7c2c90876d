"""The demo's books verify, and every change to them is refused."""

import random
from collections.abc import Callable

import pytest

from seamwalk.book.verify import verify_export
from seamwalk.config import Settings
from seamwalk.errors import VerifyError
from seamwalk.signoffs.verification import verify_with_claims
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.ledger.intake import held_entries
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.case_tracking import cases_at_stage, missing_items
from seamwalk.store.stock.custody import custody
from seamwalk_demo import make_show
from seamwalk_demo.warehouse import spare, tile

BOOKS = ["company", "hafenfest", "wintergala"]


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """The demo in a database of its own."""
    folder = tmp_path_factory.mktemp("demo")
    url = f"sqlite:///{folder / 'seamwalk.db'}"
    said: list[str] = []
    make_show(Settings(folder, url, "http://localhost:8460", "not a secret", label_prefix="QD"), said.append)
    assert sum("Join as" in line for line in said) == 7
    return Store(make_engine(url))


def exported(store: Store, name: str) -> tuple[list[bytes], str]:
    with store.read() as session:
        book = find_book(session, name)
        return [line.encode() for line in export_book(session, book)], book.owner_fingerprint


@pytest.mark.parametrize("name", BOOKS)
def test_an_export_holds(store: Store, name: str) -> None:
    lines, owner = exported(store, name)
    report = verify_with_claims(lines, owner)
    assert report.trusted
    assert report.flags == ()
    assert report.size > 50


def flip(lines: list[bytes], at: int, place: random.Random) -> list[bytes]:
    spot = place.randrange(len(lines[at]))
    changed = bytearray(lines[at])
    changed[spot] ^= 1 << place.randrange(7)
    return b"".join([*lines[:at], bytes(changed), *lines[at + 1 :]]).splitlines(keepends=True)


CHANGES: dict[str, Callable[[list[bytes], int, random.Random], list[bytes]]] = {
    "a flipped bit": flip,
    "a dropped line": lambda lines, at, _: lines[:at] + lines[at + 1 :],
    "a doubled line": lambda lines, at, _: lines[: at + 1] + lines[at:],
    "swapped lines": lambda lines, at, _: [*lines[: at - 1], lines[at], lines[at - 1], *lines[at + 1 :]],
}


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("name", BOOKS)
def test_a_changed_export_is_refused(store: Store, name: str, change: str) -> None:
    lines, owner = exported(store, name)
    place = random.Random(7)
    for at in place.sample(range(1, len(lines)), 12):
        with pytest.raises(VerifyError, match=r"^line \d+: "):
            verify_export(CHANGES[change](lines, at, place), owner)


def test_it_shows_what_a_night_looks_like(store: Store) -> None:
    with store.read() as session:
        over, now = (find_book(session, name).id for name in ("hafenfest", "wintergala"))
        assert all(item.lapsed is None for item in sign_offs(session, over))
        assert any(item.lapsed for item in sign_offs(session, now, "A"))
        assert {state.state for state in wall_states(session, now, "B").values()} == {
            "ok",
            "fault",
            "reopened",
        }
        assert [row.why for row in held_entries(session, now)] == ["unknown_device"]


def test_one_tile_is_missing_one_module_waits_at_the_bench_and_a_corner_was_mended(store: Store) -> None:
    with store.read() as session:
        over = find_book(session, "hafenfest").id
        (missing,) = missing_items(session, over)
        assert (missing.item, missing.price) == (tile(12), 940)
        assert {made.state.summary for made in cases_at_stage(session, over, "return")} == {
            "complete",
            "short",
        }
        waiting = {code: state.status for code, state in bench_states(session).items()}
        assert waiting == {tile(2): "in_stock", spare("M", 6): "in_repair"}
        (breakage,) = custody(session, tile(2), "tile").breakages
        assert breakage.window.part == "corner:bottom_left"
        assert breakage.holders[0].place == "A/2.1"
