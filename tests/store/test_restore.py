"""A server that came back from an old copy is found out, stops, and is led on by its owner."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from helpers import NOW, PLAN, Site, make_site, reopen_site
from seamwalk.book.verify import verify_export
from seamwalk.errors import Conflict, LostEntries
from seamwalk.signoffs.claim import Unknown
from seamwalk.store.engine import copy_database
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import (
    admit_device,
    current_plan,
    find_book,
    freeze_plan,
    restore_book,
    set_plan,
    write_as_office,
)
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.ledger.intake import ingest
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.ledger.witness import contradictions
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.show.anomalies import count_void, find_anomalies
from seamwalk.store.tables import Device
from seamwalk_demo.crew import NotAsExpected, SimulatedPhone

CHECK, OTHER, THIRD = (f"A/tile/{column}.1/condition:sound" for column in (1, 2, 3))


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    """A show on SQLite, which can be copied as a file."""
    made = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    yield made
    made.store.engine.dispose()


def copy_of(site: Site, folder: Path) -> Path:
    target = folder / "copy.db"
    copy_database(site.store.engine, target)
    return target


def back_from(site: Site, copy: Path, *phones: SimulatedPhone) -> Site:
    """The server starts anew over the copy; phones keep what they have."""
    site.store.engine.dispose()
    made = reopen_site(site, copy)
    for phone in phones:
        phone.client = made.app.test_client()
    return made


def found(phone: SimulatedPhone, check: str, **fields: object) -> str:
    plan, _ = phone.plan("A")
    return phone.write("found", {"plan": plan, "checks": [check], "result": "ok", **fields}, NOW).id


def restore(site: Site, base_size: int | None = None) -> None:
    with site.store.write() as session:
        restore_book(session, site.book, NOW, base_size)


def entries_of(site: Site) -> list[str]:
    with site.store.read() as session:
        lines = [line.encode() for line in export_book(session, find_book(session, "test-show"))]
    verify_export(lines, site.owner)
    return [line.decode() for line in lines if line.startswith(b'{"entry"')]


def test_a_server_that_lost_entries_takes_nothing_in_until_its_owner_restores_it(
    site: Site, tmp_path: Path
) -> None:
    rosa, ilse = site.phone(name="Rosa"), site.phone(name="Ilse")
    copy = copy_of(site, tmp_path)
    lost = found(rosa, CHECK, result="fault", weight="stop", reason="wet")
    rosa.sync()
    ilse.sync()
    back = back_from(site, copy, rosa, ilse)
    found(rosa, OTHER)
    with pytest.raises(NotAsExpected, match=r"409.*lost_entries"):
        rosa.sync()
    with back.store.read() as session:
        assert [seen.size for seen in contradictions(session, back.book)] == [5]
    body = {"device": rosa.key.thumbprint, "reason": "x"}
    with back.store.write() as session, pytest.raises(LostEntries):
        write_as_office(session, back.book, "device_revoked", body, NOW)
    restore(back)
    assert ilse.sync() == ["kept"]
    assert rosa.sync() == ["again", "kept"]
    ilse.sync()
    assert ilse.frontier == rosa.frontier
    assert {entry.id for entry in rosa.entries} >= {lost}
    with back.store.read() as session:
        assert wall_states(session, back.book, "A")[CHECK].weight == "stop"
        assert contradictions(session, back.book) == []
    entries_of(back)


def test_phones_bring_back_even_the_admissions_that_the_copy_lacks(site: Site, tmp_path: Path) -> None:
    copy = copy_of(site, tmp_path)
    rosa = site.phone(name="Rosa")
    found(rosa, CHECK)
    rosa.sync()
    before = entries_of(site)
    back = back_from(site, copy, rosa)
    restore(back)
    found(rosa, OTHER)
    assert rosa.sync() == ["kept"] * 3
    assert rosa.sync() == []
    assert set(before) < set(entries_of(back))


def admit(site: Site, phone: SimulatedPhone, role: str, now: datetime) -> str:
    with site.store.write() as session:
        return admit_device(session, site.book, jwk=phone.key.jwk, name="Rosa", role=role, now=now).jws


def revoke(site: Site, phone: SimulatedPhone, now: datetime) -> None:
    body = {"device": phone.key.thumbprint, "reason": "lost"}
    with site.store.write() as session:
        write_as_office(session, site.book, "device_revoked", body, now)


@pytest.mark.parametrize("said", ["revoked", "made crew"])
def test_what_the_office_said_before_a_restore_undoes_nothing_that_it_said_since(
    site: Site, tmp_path: Path, said: str
) -> None:
    rosa, ilse = site.phone(name="Rosa"), site.phone(name="Ilse")
    copy = copy_of(site, tmp_path)
    lost = admit(site, rosa, "chief", NOW + timedelta(minutes=1))
    rosa.sync()
    back = back_from(site, copy, rosa, ilse)
    restore(back)
    later = NOW + timedelta(minutes=2)
    revoke(back, rosa, later) if said == "revoked" else admit(back, rosa, "crew", later)
    with back.store.write() as session:
        assert [verdict.verdict for verdict in ingest(session, back.book, [lost], later)] == ["kept"]
    with back.store.read() as session:
        device = load_trust(session, back.book).devices[rosa.key.thumbprint]
        assert (device.role, device.revoked) == ("crew", said == "revoked")
        row = session.get_one(Device, (back.book, rosa.key.thumbprint))
        assert (row.role, row.revoked_idx is not None) == ("crew", said == "revoked")
        assert [entry.void for entry in find_anomalies(session, back.book).void] == ["outdated"]
        lines = [line.encode() for line in export_book(session, find_book(session, "test-show"))]
    assert verify_export(lines, site.owner).counts["outdated"] == 1
    with back.store.write() as session:
        rebuild(session, back.book)
        assert session.get_one(Device, (back.book, rosa.key.thumbprint)).role == "crew"
        assert count_void(session, back.book) == 1


def test_the_office_is_heard_also_when_its_clock_was_set_back(site: Site) -> None:
    rosa = site.phone(name="Rosa")
    revoke(site, rosa, NOW - timedelta(days=1))
    with site.store.read() as session:
        assert load_trust(session, site.book).devices[rosa.key.thumbprint].revoked
        assert count_void(session, site.book) == 0


def test_entries_taken_in_before_anybody_noticed_are_crossed_with_a_smaller_base(
    site: Site, tmp_path: Path
) -> None:
    rosa, ilse = site.phone(name="Rosa"), site.phone(name="Ilse")
    copy = copy_of(site, tmp_path)
    found(rosa, CHECK)
    rosa.sync()
    back = back_from(site, copy, rosa, ilse)
    found(ilse, OTHER)
    assert ilse.sync() == ["kept"]
    with pytest.raises(NotAsExpected, match="lost_entries"):
        rosa.sync()
    restore(back)
    with pytest.raises(NotAsExpected, match="vouches for other entries"):
        rosa.sync()
    restore(back, base_size=1)
    assert "kept" in rosa.sync()
    ilse.sync()
    rosa.sync()
    assert rosa.frontier == ilse.frontier
    assert len(entries_of(back)) == 8


def test_the_newest_copy_put_back_is_whole_again(site: Site, tmp_path: Path) -> None:
    rosa = site.phone(name="Rosa")
    old = copy_of(site, tmp_path)
    found(rosa, CHECK)
    rosa.sync()
    (tmp_path / "new").mkdir()
    new = copy_of(site, tmp_path / "new")
    back = back_from(site, old, rosa)
    found(rosa, OTHER)
    with pytest.raises(NotAsExpected, match="lost_entries"):
        rosa.sync()
    whole = back_from(back, new, rosa)
    assert rosa.sync() == ["kept"]
    whole.store.engine.dispose()


def test_a_plan_that_comes_late_does_not_count(site: Site, tmp_path: Path) -> None:
    rosa = site.phone(name="Rosa")
    copy = copy_of(site, tmp_path)
    with site.store.write() as session:
        standing = current_plan(session, site.book, "A")
        assert standing is not None
        first = standing.entry
        set_plan(session, site.book, freeze_plan("A", PLAN | {"name": "Lost"}), replaces=first, now=NOW)
    rosa.sync()
    back = back_from(site, copy, rosa)
    restore(back)
    with back.store.write() as session:
        set_plan(session, back.book, freeze_plan("A", PLAN | {"name": "New"}), replaces=first, now=NOW)
    assert rosa.sync() == ["kept"]
    with back.store.read() as session:
        now_standing = current_plan(session, back.book, "A")
        assert now_standing is not None
        assert now_standing.title == "New"


def test_a_sign_off_over_entries_that_were_lost_waits_for_the_office(site: Site, tmp_path: Path) -> None:
    chief = site.phone("chief", name="Lena")
    copy = copy_of(site, tmp_path)
    found(chief, CHECK)
    chief.sync()
    plan, _ = chief.plan("A")
    over = {"epoch": 1, "size": chief.frontier.tree_size, "root": chief.frontier.root_hash.hex()}
    body = {"statement": "built", "wall": "A", "plan": plan, **over, "own": [], "exceptions": []}
    signed = chief.write("signed_off", body, NOW)
    back = back_from(site, copy, chief)
    restore(back)
    assert chief.sync() == ["kept", "held"]
    with back.store.write() as session:
        write_as_office(session, back.book, "entry_admitted", {"entry": signed.id, "reason": "seen"}, NOW)
    with back.store.read() as session:
        (state,) = sign_offs(session, back.book)
        assert (state.entry, state.lapsed) == (signed.id, None)
        assert state.claim.unknown == Unknown.OTHER_ENTRIES


def test_a_base_that_the_book_does_not_have_is_refused(site: Site) -> None:
    for base in (0, 99):
        with pytest.raises(Conflict, match=f"base_size: {base} is not between 1 and 2"):
            restore(site, base)


def test_two_restores_are_crossed_at_once(site: Site, tmp_path: Path) -> None:
    rosa, ilse = site.phone(name="Rosa"), site.phone(name="Ilse")
    copy = copy_of(site, tmp_path)
    found(rosa, CHECK)
    rosa.sync()
    back = back_from(site, copy, rosa, ilse)
    restore(back)
    found(ilse, OTHER)
    ilse.sync()
    restore(back)
    assert rosa.sync() == ["kept"]
    ilse.sync()
    assert rosa.frontier == ilse.frontier
    assert len(entries_of(back)) == 8
