"""What the first edition left is opened for ever: its database, exports, excerpts and seals."""

import json

import pytest
from flask import Flask

from first_edition.opened import BOOKS, EXPECTED, HERE, export_lines, kept, states
from seamwalk.book.excerpt import verify_excerpt
from seamwalk.book.merkle import root_of
from seamwalk.book.parsing import read_kept
from seamwalk.book.seal import read_seal
from seamwalk.book.verify import verify_export
from seamwalk.signoffs.book_claims import BookClaims
from seamwalk.store.engine import Store
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.ledger import integrity
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.projections import projections
from seamwalk.store.tables import HeldEntry, LedgerEntry


@pytest.mark.parametrize("slug", BOOKS)
def test_a_book_keeps_its_entries_word_for_word(store: Store, slug: str) -> None:
    told = BOOKS[slug]
    texts = kept(store, slug)[: told["size"]]
    exported = [json.loads(line)["entry"] for line in export_lines(slug)[1 : told["size"] + 1]]
    assert texts == exported
    assert root_of([bytes.fromhex(read_kept(jws).id) for jws in texts]).hex() == told["root"]


def test_no_named_entry_is_lost(store: Store) -> None:
    """Each is kept or held; only a second text over a held or kept entry may go."""
    with store.read() as session:
        here = {row.entry for row in session.query(LedgerEntry.entry)}
        here |= {row.entry for row in session.query(HeldEntry.entry)}
    for slug in ("clean", "twisted", "lax", "ownerless"):
        unsent = set(EXPECTED["phone"]["unsent"].get(slug, ())) - {"phone_held"}
        named = {id_: name for name, id_ in BOOKS[slug]["named"].items() if name not in unsent}
        twins = {id_ for id_, what in BOOKS[slug].get("held_must_be", {}).items() if "twin_of" in what}
        assert [name for id_, name in named.items() if id_ not in here | twins] == []


def test_a_full_check_finds_nothing_wrong_with_what_is_clean(store: Store) -> None:
    with store.write() as session:
        found = integrity.check(session, full=True)
        session.rollback()
    clean = ("clean:", "company:", "the database")
    assert [line for line in found if line.startswith(clean)] == []


@pytest.mark.parametrize("slug", ["clean", "company"])
def test_the_checks_of_a_clean_book_stand_as_they_stood_also_after_a_rebuild(store: Store, slug: str) -> None:
    assert states(store, slug) == BOOKS[slug]["check_states"]
    with store.write() as session:
        read = projections.rebuild(session, find_book(session, slug).id)
    assert read == len(kept(store, slug))
    assert states(store, slug) == BOOKS[slug]["check_states"]


@pytest.mark.parametrize("slug", ["twisted", "lax", "ownerless"])
def test_every_other_book_is_rebuilt(store: Store, slug: str) -> None:
    with store.write() as session:
        assert projections.rebuild(session, find_book(session, slug).id) == len(kept(store, slug))


@pytest.mark.parametrize("slug", BOOKS)
def test_an_export_is_read_by_its_size_and_root(slug: str) -> None:
    told = BOOKS[slug]
    report = verify_export(export_lines(slug), told["fingerprint"])
    assert (report.book, report.epoch) == (told["book"], told["epoch"])
    assert (report.size, report.root) == (told["size"], told["root"])


@pytest.mark.parametrize("slug", ["clean", "company"])
def test_nothing_is_odd_in_a_clean_export(slug: str) -> None:
    flags = verify_export(export_lines(slug), BOOKS[slug]["fingerprint"]).flags
    erased = ("1 texts or photos were erased on purpose",) if slug == "clean" else ()
    assert flags == erased


def test_a_print_from_before_and_from_after_the_restore_is_borne_out() -> None:
    seals = [read_seal(text) for text in EXPECTED["seals"].values()]
    assert len({seal.epoch for seal in seals}) == 2
    verify_export(export_lines("clean"), BOOKS["clean"]["fingerprint"], seals)


@pytest.mark.parametrize(
    ("file", "name"), [("clean.built", "signed_built"), ("clean.let_in", "client_found_let_in")]
)
def test_an_excerpt_is_read(file: str, name: str) -> None:
    told = BOOKS["clean"]
    proven = verify_excerpt((HERE / f"{file}.excerpt.json").read_bytes(), told["fingerprint"])
    assert proven.entry.id == told["named"][name]
    assert (proven.book, proven.epoch) == (told["book"], told["epoch"])


def test_the_office_and_a_phone_get_in(app: Flask) -> None:
    """By the old password, and by the key of a device."""
    from helpers import send

    browser = app.test_client()
    assert send(browser, "/office/login", login="anna", password="long password").status_code == 302
    assert browser.get("/office/shows/clean/walls/A").status_code == 200
    phone = app.test_client()
    phone.set_cookie("seamwalk_device", EXPECTED["doors"]["device_cookies"]["clean/rosa"])
    body = {"after": 0, "entries": [], "head": None}
    where = f"/api/v1/books/{BOOKS['clean']['book']}/sync"
    answer = phone.post(where, json=body, headers={"X-Seamwalk": "1"}).get_json()
    assert answer["reading"] == "ok"
    assert len(answer["entries"]) >= BOOKS["clean"]["size"]


@pytest.mark.parametrize("slug", BOOKS)
def test_the_server_and_an_export_say_the_same_of_every_sign_off(store: Store, slug: str) -> None:
    with store.read() as session:
        book = find_book(session, slug)
        lines = [line.encode() for line in export_book(session, book)]
        on_server = {state.entry: state.claim for state in sign_offs(session, book.id)}
    claims = BookClaims()
    verify_export(lines, observer=claims)
    assert {made.entry: made.claim for made in claims.measure()} == on_server
