"""Role x entry type x blob: who reads what, whole, on both databases. What is not read is a leaf hash."""

import pytest
from sqlalchemy.orm import Session

from helpers import NOW, Site
from seamwalk.book.entry import blobs_of
from seamwalk.book.jose import sha256_hex
from seamwalk.book.parsing import read_kept
from seamwalk.book.readers import ACTS_ON_CHECKS, EVERYBODY, READS, reads
from seamwalk.book.roles import RIGHTS, Role
from seamwalk.book.trust import TRUST_TYPES
from seamwalk.book.types import BODIES
from seamwalk.store.engine import Store
from seamwalk.store.ledger.books import salted_text, write_as_office
from seamwalk.store.ledger.intake import size
from seamwalk.store.ledger.readers import Reader, may_read_blob, texts
from seamwalk.store.rows import insert_rows
from seamwalk.store.tables import BlobUse, LedgerEntry
from seamwalk_demo.crew import SimulatedPhone

LIMITED = {
    Role.CLIENT: {"found", "swapped", "stop_released", "plan_set", "procedures_listed", "signed_off"},
    Role.PARTNER: {"hire_handed_over", "countersigned"},
}


@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize("entry_type", list(BODIES))
def test_the_table(role: Role, entry_type: str) -> None:
    everybody = {*TRUST_TYPES, "withdrawn", "blob_erased"}
    assert reads(role, entry_type) == (
        role not in LIMITED or entry_type in everybody or entry_type in LIMITED[role]
    )
    assert reads(role, entry_type, own=True)


def test_what_is_read_is_closed() -> None:
    for role, types in READS.items():
        assert types >= EVERYBODY
        assert types & ACTS_ON_CHECKS in (frozenset(), ACTS_ON_CHECKS)
        if RIGHTS[role].statements:
            assert types >= ACTS_ON_CHECKS | {"plan_set", "signed_off"}


def made_up(session: Session, book: str) -> dict[str, tuple[int, str]]:
    """One row of each type behind the book's own, each naming a blob; what is read goes by the row alone."""
    start, found = size(session, book), {}
    text = write_as_office(session, book, "blob_erased", {"blob": "f" * 64}, NOW).jws
    rows = []
    for number, entry_type in enumerate(sorted(BODIES)):
        idx, leaf = start + 1 + number, f"{number:064x}"
        found[entry_type] = (idx, leaf)
        told: dict[str, object] = {
            "entry": leaf,
            "other": f"{1000 + number:064x}",
            "type": entry_type,
            "jws": text,
        }
        told |= {"device": "d" * 43, "n": number + 1, "prev": None, "fork": False, "void": None}
        rows.append({"book": book, "idx": idx, "kept_at": None, **told})
    insert_rows(session, LedgerEntry, rows)
    insert_rows(session, BlobUse, [{"book": book, "sha256": leaf, "idx": i} for i, leaf in found.values()])
    return found


def test_role_by_type_by_blob(site: Site) -> None:
    with site.store.write() as session:
        made = made_up(session, site.book)
        indexes = [idx for idx, _ in made.values()]
        for role in Role:
            for own in (False, True):
                reader = Reader(role, frozenset({"d" * 43} if own else ()))
                given = {item["index"] for item in texts(session, site.book, reader, indexes)}
                for entry_type, (idx, leaf) in made.items():
                    expected = reads(role, entry_type, own=own)
                    assert (idx in given) == expected, (role, entry_type, own)
                    assert may_read_blob(session, site.book, reader, leaf) == expected
        session.rollback()


@pytest.mark.parametrize("role", ["partner", "client"])
def test_a_limited_phone_is_a_witness_all_the_same(site: Site, role: str) -> None:
    crew, limited = site.phone("crew", "Rosa"), site.phone(role, "Jonas")
    note = crew.note("by the stairs")
    crew.write("found", {"plan": "0" * 64, "checks": ["A/x"], "result": "ok", "note_blob": note}, NOW)
    crew.sync()
    limited.sync()
    crew.sync()
    assert limited.frontier == crew.frontier
    assert limited.head is not None
    read = {entry.type for entry in limited.entries}
    assert ("found" in read) == (role == "client")
    blob = limited.client.get(f"/api/v1/books/{site.book}/blobs/{note}")
    assert blob.status_code == (200 if role == "client" else 403)


def test_blobs_go_with_the_entries_that_name_them(site: Site) -> None:
    partner = site.phone("partner", "Jonas")
    plan = next(entry for entry in site.phone("crew").entries if entry.type == "plan_set")
    for name in blobs_of(plan):
        assert partner.client.get(f"/api/v1/books/{site.book}/blobs/{name}").status_code == 403
    own = salted_text("agreed")
    headers = {"X-Seamwalk": "1"}
    partner.client.put(f"/api/v1/books/{site.book}/blobs/{sha256_hex(own)}", data=own, headers=headers)
    body = {"entry": "0" * 64, "agrees": True, "name_blob": sha256_hex(own), "note_blob": None}
    partner.write("countersigned", body, NOW)
    partner.sync()
    got = partner.client.get(f"/api/v1/books/{site.book}/blobs/{sha256_hex(own)}")
    assert (got.status_code, got.data) == (200, own)


def test_when_its_role_changes_a_phone_gets_old_texts_by_index(site: Site) -> None:
    limited = site.phone("partner", "Jonas")
    hidden = [index for index, line in enumerate(limited.lines) if isinstance(line, str)]
    assert hidden
    ask = {"after": len(limited.lines), "entries": [], "head": limited.head, "leaves": True, "texts": hidden}
    path, headers = f"/api/v1/books/{site.book}/sync", {"X-Seamwalk": "1"}
    assert limited.client.post(path, json=ask, headers=headers).json["texts"] == []
    limited_again(site, limited, "crew")
    answer = limited.client.post(path, json=ask, headers=headers).json
    assert [item["index"] for item in answer["texts"]] == hidden
    for item in answer["texts"]:
        assert read_kept(item["entry"]).id == limited.lines[item["index"]]


def limited_again(site: Site, phone: SimulatedPhone, role: str) -> None:
    """Admit the phone again in another role."""
    from seamwalk.store.ledger.books import admit_device

    store: Store = site.store
    with store.write() as session:
        admit_device(session, site.book, jwk=phone.key.jwk, name="Jonas", role=role, now=NOW)


def test_an_app_that_does_not_know_bare_leaves_is_told_so(site: Site) -> None:
    partner = site.phone("partner", "Jonas")
    ask = {"after": 0, "entries": [], "head": None}
    answer = partner.client.post(f"/api/v1/books/{site.book}/sync", json=ask, headers={"X-Seamwalk": "1"})
    assert answer.status_code == 409
    assert "too old" in answer.json["message"]
