"""What twisted signatures had done to a book of the first edition is undone, and told."""

import json
from typing import Any

import pytest
from sqlalchemy import select

from first_edition.opened import BOOKS, HERE, NOW, export_lines, kept, states
from seamwalk.book.jose import other_form
from seamwalk.book.verify import verify_export
from seamwalk.store.engine import Store
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.ledger import integrity
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.intake import ingest
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.tables import HeldEntry, LedgerEntry

TOLD: dict[str, Any] = BOOKS["twisted"]


def test_twins_and_what_only_they_let_in_stand_without_effect(store: Store) -> None:
    with store.read() as session:
        query = select(LedgerEntry.entry, LedgerEntry.void).where(LedgerEntry.book == TOLD["book"])
        void = {row.entry: row.void for row in session.execute(query) if row.void}
    assert void == {entry: what["void"] for entry, what in TOLD["void"].items()}


def test_the_checks_stand_as_if_they_had_never_come(store: Store) -> None:
    found = states(store, "twisted")
    for check, expected in TOLD["check_states"].items():
        assert found[check][0] == expected[0], check
    with store.read() as session:
        signed = {item.entry for item in sign_offs(session, TOLD["book"])}
    assert not signed & set(TOLD["void"])


def test_what_a_twin_had_kept_out_comes_in_and_second_texts_no_longer_wait(store: Store) -> None:
    with store.read() as session:
        held = set(session.scalars(select(HeldEntry.entry).where(HeldEntry.book == TOLD["book"])))
        here = set(session.scalars(select(LedgerEntry.entry).where(LedgerEntry.book == TOLD["book"])))
    must = TOLD["held_must_be"]
    assert {entry for entry, what in must.items() if what == "to_be_kept"} <= here
    assert not held & {entry for entry, what in must.items() if what.startswith("twin_of")}
    assert {entry for entry, what in must.items() if what == "held"} <= held


@pytest.mark.parametrize("slug", BOOKS)
def test_no_entry_of_any_book_counts_twice_however_it_is_twisted(store: Store, slug: str) -> None:
    texts = kept(store, slug)
    forms = {form for jws in texts for form in (jws, other_form(jws))}
    with store.write() as session:
        verdicts = ingest(session, BOOKS[slug]["book"], sorted(forms), NOW)
    new = [verdict for verdict in verdicts if verdict.verdict != "again" and verdict.why != "malformed"]
    assert new == []
    assert len(kept(store, slug)) == len(texts)


@pytest.mark.parametrize("slug", BOOKS)
def test_every_book_is_under_the_newest_rules_and_its_owner_writes(store: Store, slug: str) -> None:
    with store.read() as session:
        trust = load_trust(session, BOOKS[slug]["book"])
    assert trust.rules == 2
    assert trust.owner is not None
    assert not trust.devices[trust.owner.thumbprint].revoked


def test_a_full_check_finds_every_book_whole(store: Store) -> None:
    with store.write() as session:
        assert integrity.check(session, full=True) == []
        session.rollback()


def test_verify_tells_of_twins_without_blaming_the_phone() -> None:
    flags = " ".join(verify_export(export_lines("twisted"), TOLD["fingerprint"]).flags)
    kinds = [what["void"] for what in TOLD["void"].values()]
    assert f"{kinds.count('twin')} entries stand here a second time" in flags
    assert f"{kinds.count('let_in_by_twin')} entries were let in by such a second text alone" in flags
    assert "was the phone copied?" not in flags


def test_what_only_rules_1_let_in_is_flagged_and_stays() -> None:
    flags = " ".join(verify_export(export_lines("lax"), BOOKS["lax"]["fingerprint"]).flags)
    assert "older than the rules that would refuse them" in flags


def test_its_own_new_export_verifies(store: Store) -> None:
    from seamwalk.store.ledger.exports import export_book

    with store.read() as session:
        for slug in BOOKS:
            lines = list(export_book(session, find_book(session, slug)))
            assert json.loads(lines[0])["seamwalk_export"] == 2
            verify_export((line.encode() for line in lines), BOOKS[slug]["fingerprint"])


ATTEMPTS: list[dict[str, Any]] = json.loads((HERE / "lax.json").read_text("utf-8"))


def test_every_attempt_of_old_gets_its_verdict_and_none_is_new(store: Store) -> None:
    """What rules 1 kept is here already; what they held or let fail is refused, or held for who wrote it."""
    found, book = {}, "lax"
    for attempt in ATTEMPTS:
        if attempt.get("jws"):
            with store.write() as session:
                (verdict,) = ingest(session, BOOKS[book]["book"], [attempt["jws"]], NOW)
            found[attempt["name"]] = (attempt["verdict"], verdict.verdict, verdict.why)
    assert {name: told for name, told in found.items() if told[:2] == ("kept", "refused")} == {}
    others = {name: told for name, told in found.items() if told[0] != "kept"}
    assert {now for _, now, _ in others.values()} <= {"refused", "held", "again"}
