"""Texts in both forms of their signatures through the ledger, on both databases: one entry each."""

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session
from two_forms import BOOK, KEYS

from helpers import NOW
from seamwalk.book.jose import PrivateKey, base64url_encode
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_kept
from seamwalk.domain.findings.explanation import explain
from seamwalk.domain.stock.cases import Cases
from seamwalk.store.access import phones
from seamwalk.store.engine import Store
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import current_plans
from seamwalk.store.ledger.intake import ingest
from seamwalk.store.ledger.keys import PURPOSES, keep_key
from seamwalk.store.projections.check_states import load_fold
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.rows import insert_rows
from seamwalk.store.stock.bound_tiles import bound_tiles
from seamwalk.store.stock.case_tracking import cases_of, handovers
from seamwalk.store.tables import Book, HeldEntry, LedgerEntry

VECTOR = json.loads((Path(__file__).parent.parent / "vectors" / "signing_inputs.json").read_text())


class Played:
    """One scene's book in a database."""

    def __init__(self, session: Session, scene: dict[str, Any]) -> None:
        self.session, self.scene = session, scene
        self.names = {
            entry[f"{form}_id"]: name for name, entry in scene["entries"].items() for form in ("low", "high")
        }
        owner = KEYS["owner"].thumbprint
        book = Book(id=BOOK, slug="t", kind="show", title="T", epoch=1, owner_fingerprint=owner)
        book.frontier = Frontier().to_json()
        session.add(book)
        session.flush()
        for name in PURPOSES:
            keep_key(session, BOOK, name, private_key(name))
        self.kept: dict[str, tuple[str, int]] = {}
        if scene["old"]:
            self.stand()
        else:
            for text in scene["texts"]:
                self.come(text)

    def text(self, text: dict[str, Any]) -> str:
        entry = self.scene["entries"][text["name"]]
        return f"{entry['input']}.{entry[text['form']]}"

    def come(self, text: dict[str, Any]) -> None:
        if not text.get("sent", True):
            return
        (verdict,) = ingest(self.session, BOOK, [self.text(text)], NOW)
        assert verdict.verdict == text["verdict"], (text, verdict)
        if verdict.verdict == "kept":
            self.kept[text["name"]] = (str(verdict.id), int(verdict.index or 0))
            assert self.session.get_one(LedgerEntry, (BOOK, verdict.index)).void == text.get("void")
        if verdict.verdict == "again" and text["name"] in self.kept:
            assert (verdict.id, verdict.index) == self.kept[text["name"]]

    def stand(self) -> None:
        """Put the leaves in as the code before the repair kept them, and read the book anew."""
        rows = []
        for idx, text in enumerate(self.scene["texts"]):
            entry = read_kept(self.text(text))
            told: dict[str, Any] = {
                "entry": entry.id,
                "other": entry.other_id,
                "jws": entry.jws,
                "prev": entry.prev,
            }
            told |= {"type": entry.type, "device": entry.device, "n": entry.n, "fork": False, "void": None}
            rows.append({"book": BOOK, "idx": idx, "kept_at": None, **told})
        insert_rows(self.session, LedgerEntry, rows)
        rebuild(self.session, BOOK)
        self.session.expire_all()
        found = self.session.execute(select(LedgerEntry.void).order_by(LedgerEntry.idx)).scalars()
        assert list(found) == [text["void"] for text in self.scene["texts"]]

    def named(self, ids: Iterable[str]) -> list[str]:
        return sorted(self.names[entry] for entry in ids)


def private_key(name: str) -> PrivateKey:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    kind = (Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return PrivateKey.from_pem(KEYS[name].key.private_bytes(*kind).decode())


@pytest.fixture
def session(new_store: Store) -> Iterator[Session]:
    with new_store.write() as session:
        yield session


@pytest.mark.parametrize("scene", VECTOR["scenes"], ids=lambda scene: scene["description"])
def test_scene(session: Session, scene: dict[str, Any]) -> None:
    played = Played(session, scene)
    look(played, scene["expect"])
    rebuild(session, BOOK)
    session.expire_all()
    look(played, scene["expect"])


def look(played: Played, expect: dict[str, Any]) -> None:
    """Compare what the tables say with what the scene must come to."""
    session, named = played.session, played.named
    states = wall_states(session, BOOK, "A")
    for check, (state, weight, ids) in expect.get("states", {}).items():
        found = states.get(check)
        told = [found.state, found.weight, named(found.standing)] if found else ["open", None, []]
        assert told == [state, weight, ids]
    for check, expected in expect.get("why", {}).items():
        reason = explain(load_fold(session, BOOK, [check]), check)
        assert [reason.key, named(reason.acts), named(reason.others)] == expected
    if "plans" in expect:
        assert {plan.wall: named([plan.entry])[0] for plan in current_plans(session, BOOK)} == expect["plans"]
    if "bindings" in expect:
        entries = session.scalars(select(LedgerEntry).where(LedgerEntry.type == "tile_bound"))
        at_of = {row.entry: read_kept(row.jws).at for row in entries if row.void is None}
        tiles = bound_tiles(session, BOOK, "A")
        assert sorted(tile.at for tile in tiles) == sorted(
            at for entry, at in at_of.items() if named([entry])[0] in expect["bindings"]
        )
    look_at_cases(played, cases_of(session, BOOK), expect)
    for device, is_admitted in expect.get("admitted", {}).items():
        thumbprint = played.scene["devices"][device]["device"]
        assert (phones.admitted(session, BOOK, thumbprint) is not None) == is_admitted
    if "sign_offs" in expect:
        lapses = {
            named([item.entry])[0]: item.lapsed
            and {"plan_differs": item.lapsed.plan_differs, "worse": list(item.lapsed.worse)}
            for item in sign_offs(session, BOOK)
        }
        assert lapses == expect["sign_offs"]
    if "countersigned" in expect:
        times = {played.names[entry.id]: entry.at for entry in entries_of(played)}
        answered = {
            named([item.entry])[0]: [a["at"] for a in item.answers] for item in handovers(session, BOOK)
        }
        assert answered == {
            name: [times[answer] for answer in answers] for name, answers in expect["countersigned"].items()
        }


def look_at_cases(played: Played, cases: Cases, expect: dict[str, Any]) -> None:
    for stage, by_case in expect.get("cases", {}).items():
        assert {case: cases.items_in(stage, case) for case in by_case} == by_case
    for item, names in expect.get("sightings", {}).items():
        current = sorted(made.entry for made in cases._of_item["load_in", item])
        assert played.named(current) == names


def entries_of(played: Played) -> list[Any]:
    return [read_kept(jws) for jws in played.session.scalars(select(LedgerEntry.jws))]


def test_a_second_text_with_a_bad_signature_is_refused(session: Session) -> None:
    scene = VECTOR["scenes"][0]
    played = Played(session, scene)
    good = played.text(scene["texts"][0])
    bad = f"{good.rpartition('.')[0]}.{base64url_encode(bytes([1]) * 64)}"
    (verdict,) = ingest(session, BOOK, [bad], NOW)
    assert (verdict.verdict, verdict.why) == ("refused", "signature")


def test_a_second_text_over_a_held_entry_is_the_held_one(session: Session) -> None:
    scene = next(s for s in VECTOR["scenes"] if any(t.get("verdict") == "held" for t in s["texts"]))
    held = [text for text in scene["texts"] if text.get("verdict") == "held"]
    played = Played(session, {**scene, "texts": scene["texts"][: scene["texts"].index(held[0]) + 1]})
    for form in ("low", "high"):
        (verdict,) = ingest(session, BOOK, [played.text({**held[0], "form": form})], NOW)
        kept = scene["entries"][held[0]["name"]][f"{held[0]['form']}_id"]
        assert (verdict.verdict, verdict.id) == ("held", kept)
    assert len(session.scalars(select(HeldEntry)).all()) == 1
