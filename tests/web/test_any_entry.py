"""Whatever a signed entry can hold and be kept or held, the office shows it, and the book goes on."""

import json
from random import Random
from typing import Any

import pytest

from any_entry import KINDS, any_body, matching
from every_page import every_page
from helpers import NOW, Site, logged_in
from seamwalk.book.entry import ENTRY_TYP, Author, format_at
from seamwalk.book.jose import PrivateKey
from seamwalk.book.roles import RIGHTS, Role, may_write
from seamwalk.book.verify import verify_export
from seamwalk.store.ledger import integrity
from seamwalk.store.ledger.books import admit_device, find_book, write_as_office
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.ledger.intake import ingest
from seamwalk.store.projections.projections import rebuild

AT = format_at(NOW)
ROUNDS = 2


class Hands:
    """A phone of each role that writes into one book."""

    def __init__(self, site: Site, random: Random) -> None:
        self.site, self.random = site, random
        self.authors: dict[Role, Author] = {}

    def write(self, kind: str) -> None:
        """Let somebody who may write an entry of a kind write any."""
        body = any_body(kind, self.random)
        role = next(role for role in Role if may_write(role, kind, body))
        if role is Role.OFFICE:
            with self.site.store.write() as session:
                write_as_office(session, self.site.book, kind, body, NOW)
        else:
            entry, self.authors[role] = self._author(role).write(kind, body, AT)
            assert self.push(entry.jws) in ("kept", "held")

    def _author(self, role: Role) -> Author:
        if role not in self.authors:
            key = PrivateKey.generate()
            with self.site.store.write() as session:
                admit_device(session, self.site.book, jwk=key.jwk, name="Rosa <b>", role=role.value, now=NOW)
            self.authors[role] = Author(key, self.site.book)
        return self.authors[role]

    def push(self, jws: str) -> str:
        with self.site.store.write() as session:
            (verdict,) = ingest(session, self.site.book, [jws], NOW)
        return verdict.verdict

    def write_unknown(self) -> str:
        """An entry of a type that nobody knows, by a stranger: it is held."""
        entry_type = matching(r"[a-z][a-z0-9_]{5,39}", self.random)
        odd = [None, True, 0, 2**53 - 1, "", "<b>", "\u202e", [], [1, "x"], {}, {"a": [None]}]
        body = {name: self.random.choice(odd) for name in ("checks", "statement", "entry", "item", "plan")}
        payload = {
            "type": entry_type,
            "v": self.random.randint(1, 9999),
            "book": self.site.book,
            "prev": None,
        }
        payload |= {"n": self.random.choice([1, 2**53 - 1]), "at": AT, "body": body}
        key = PrivateKey.generate()
        assert self.push(key.sign(ENTRY_TYP, json.dumps(payload).encode(), with_jwk=True)) == "held"
        return entry_type


@pytest.mark.parametrize("seed", range(2))
def test_every_page_print_and_export_goes_on_whatever_entries_hold(site: Site, seed: int) -> None:
    hands = Hands(site, Random(seed))
    for _ in range(ROUNDS):
        for kind in KINDS:
            hands.write(kind)
    unknown = [hands.write_unknown() for _ in range(5)]
    office = logged_in(site)
    site.app.config["PROPAGATE_EXCEPTIONS"] = True
    failed = {path: code for path, code in every_page(office, site.store, "test-show") if code >= 500}
    assert failed == {}
    page = office.get("/office/shows/test-show/held").text
    assert all(name in page for name in unknown)
    with site.store.write() as session:
        lines = list(export_book(session, find_book(session, site.book)))
        report = verify_export((line.encode() for line in lines), site.owner)
        assert rebuild(session, site.book) == report.size
        assert integrity.check(session, full=True) == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_written(kind: str) -> None:
    assert any(kind in rights.entry_types for rights in RIGHTS.values())
    seen: list[dict[str, Any]] = [any_body(kind, Random(seed)) for seed in range(3)]
    assert all(isinstance(body, dict) for body in seen)
