"""The ledger: one verdict for each entry, nothing lost, nothing twice, projections that can be made again."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.orm import class_mapper

from helpers import EVERYTHING, NOW, Site
from seamwalk.book.entry import Author, format_at
from seamwalk.book.jose import PrivateKey
from seamwalk.book.verify import verify_export
from seamwalk.errors import Conflict, InviteRefused
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.books import admit_device, find_book, freeze_plan, set_plan, write_as_office
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.ledger.readers import page
from seamwalk.store.projections.projection_tables import PROJECTIONS
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.rows import among_pairs
from seamwalk.store.tables import LedgerEntry
from seamwalk_demo.crew import SimulatedPhone

CHECKS = [f"A/tile/{column}.{row}/condition:sound" for column in (1, 2, 3) for row in (1, 2)]


def projected(site: Site) -> dict[str, list[str]]:
    """Every row of every projection."""
    with site.store.read() as session:
        return {
            table.__tablename__: sorted(
                str({c.key: getattr(row, c.key) for c in class_mapper(table).column_attrs})
                for row in session.scalars(select(table))
            )
            for table in PROJECTIONS
        }


def ok(phone: SimulatedPhone, checks: list[str], answers: list[str] | None = None) -> str:
    plan, _ = phone.plan("A")
    body = {"plan": plan, "checks": checks, "result": "ok", "answers": answers or []}
    return phone.write("found", body, NOW).id


def fault(phone: SimulatedPhone, check: str, weight: str = "show") -> str:
    plan, _ = phone.plan("A")
    body = {"plan": plan, "checks": [check], "result": "fault", "weight": weight, "reason": "wet"}
    return phone.write("found", body, NOW).id


def state(site: Site, check: str) -> str:
    with site.store.read() as session:
        found = wall_states(session, site.book, "A").get(check)
    return found.state if found else "open"


def test_what_is_here_is_found_by_device_and_number(site: Site) -> None:
    with site.store.read() as session:
        bind = session.get_bind()
        if bind.dialect.name != "sqlite":
            pytest.skip("PostgreSQL chooses by what lies in the table")
        asked = among_pairs(session, LedgerEntry.device, LedgerEntry.n, [("A" * 43, 1), ("B" * 43, 2)])
        query = select(LedgerEntry.jws).where(LedgerEntry.book == site.book, asked).compile(bind)
        values = tuple(query.params.values())
        plan = session.connection().exec_driver_sql(f"EXPLAIN QUERY PLAN {query}", values)
        told = " ".join(str(row[-1]) for row in plan)
    assert "ix_ledger_device_n (book=? AND device=? AND n=?)" in told


def test_sent_again_it_stands_once_at_the_same_place(site: Site) -> None:
    phone = site.phone()
    ok(phone, CHECKS[:1])
    pending = list(phone.pending)
    assert phone.sync() == ["kept"]
    phone.pending = pending
    assert phone.sync() == ["again"]
    assert state(site, CHECKS[0]) == "ok"


def test_one_bad_entry_never_blocks_the_others(site: Site) -> None:
    phone = site.phone()
    ok(phone, CHECKS[:1])
    good = phone.pending[0].jws
    forged = good[:-4] + ("AAAA" if good[-4:] != "AAAA" else "BAAA")
    other = Author(phone.key, "b" + "0" * 16).write("withdrawn", {"entry": "0" * 64}, format_at(NOW))[0].jws
    with site.store.write() as session:
        verdicts = intake.ingest(session, site.book, ["junk", forged, other, good], NOW)
    assert [(v.verdict, v.why) for v in verdicts] == [
        ("refused", "malformed"),
        ("refused", "signature"),
        ("refused", "wrong_book"),
        ("kept", None),
    ]
    assert all(v.remedy for v in verdicts[:3])


def test_an_unknown_phone_is_held_until_it_is_admitted(site: Site) -> None:
    stranger = SimulatedPhone(site.app.test_client(), site.book)
    plan, _ = site.phone().plan("A")
    stranger.write("found", {"plan": plan, "checks": CHECKS[:1], "result": "ok"}, NOW)
    assert stranger.sync() == ["held"]
    assert state(site, CHECKS[0]) == "open"
    with site.store.write() as session:
        admit_device(session, site.book, jwk=stranger.key.jwk, name="Pavel", role="crew", now=NOW)
    assert state(site, CHECKS[0]) == "ok"
    with site.store.read() as session:
        assert intake.held_entries(session, site.book) == []


def test_a_key_that_is_missing_is_asked_for(site: Site) -> None:
    author = Author(PrivateKey.generate(), site.book)
    entry, _ = author.write("withdrawn", {"entry": "0" * 64}, format_at(NOW))
    with site.store.write() as session:
        assert intake.ingest(session, site.book, [entry.jws], NOW)[0].why == "key_missing"


def test_a_revoked_phone_is_held_and_the_office_may_let_it_in(site: Site) -> None:
    phone = site.phone()
    with site.store.write() as session:
        body = {"device": phone.key.thumbprint, "reason": "lost"}
        write_as_office(session, site.book, "device_revoked", body, NOW)
    entry = ok(phone, CHECKS[:1])
    assert phone.sync() == ["held"]
    with site.store.write() as session:
        write_as_office(session, site.book, "entry_admitted", {"entry": entry, "reason": "was before"}, NOW)
    assert state(site, CHECKS[0]) == "ok"


def test_a_copied_phone_makes_two_of_one_number_and_both_are_kept(site: Site) -> None:
    phone = site.phone()
    plan, _ = phone.plan("A")
    author = Author(phone.key, site.book)
    texts = [
        author.write("found", {"plan": plan, "checks": [check], "result": "ok"}, format_at(NOW))[0].jws
        for check in CHECKS[:2]
    ]
    with site.store.write() as session:
        verdicts = intake.ingest(session, site.book, texts, NOW)
    assert [(v.verdict, v.fork) for v in verdicts] == [("kept", False), ("kept", True)]


def test_an_ok_made_without_seeing_the_fault_does_not_hide_it(site: Site) -> None:
    first, second = site.phone(name="Rosa"), site.phone(name="Ilse")
    fault(first, CHECKS[0])
    ok(second, CHECKS[:3])
    second.sync()
    first.sync()
    assert state(site, CHECKS[0]) == "fault"


@pytest.mark.parametrize("role", ["crew", "client"])
def test_a_role_writes_only_what_it_may(site: Site, role: str) -> None:
    phone = site.phone(role)
    plan, _ = phone.plan("A")
    over = {"plan": plan, "epoch": 1, "size": 3, "root": "0" * 64, "own": [], "exceptions": []}
    phone.write("signed_off", {"statement": "built", "wall": "A", **over}, NOW)
    assert phone.sync() == ["held"]


def test_a_page_ends_where_its_head_does(site: Site) -> None:
    phone = site.phone()
    for check in CHECKS:
        ok(phone, [check])
    phone.sync()
    with site.store.read() as session:
        first = page(session, site.book, 0, EVERYTHING, limit_bytes=1500)
        assert first.more
        rest = page(session, site.book, len(first.entries), EVERYTHING, limit_bytes=10**6)
    assert not rest.more
    assert len(first.entries) + len(rest.entries) == 9


def test_plans_are_set_by_comparing_with_the_one_that_was_seen(site: Site) -> None:
    from helpers import PLAN

    with site.store.write() as session, pytest.raises(Conflict, match="its plan is 'Back wall' by now"):
        set_plan(session, site.book, freeze_plan("A", PLAN), replaces=None, now=NOW)


def test_many_phones_at_once_lose_nothing(site: Site) -> None:
    phones = [site.phone(name=f"Crew {n}") for n in range(4)]
    for phone in phones:
        for check in CHECKS:
            ok(phone, [check])
    with ThreadPoolExecutor(4) as pool:
        verdicts = [v for found in pool.map(lambda phone: phone.sync(), phones) for v in found]
    assert verdicts == ["kept"] * 24
    for phone in phones:
        phone.sync()
    assert len({phone.frontier.root_hash for phone in phones}) == 1


def test_an_export_of_a_live_book_verifies(site: Site) -> None:
    phone = site.phone()
    ok(phone, CHECKS)
    phone.sync()
    with site.store.read() as session:
        lines = [line.encode() for line in export_book(session, find_book(session, "test-show"))]
    report = verify_export(lines, site.owner)
    assert (report.size, report.flags) == (4, ())


ACTS = st.lists(
    st.tuples(st.integers(0, 1), st.sampled_from(["ok", "fault", "undo", "answer"]), st.integers(0, 5)),
    max_size=12,
)


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ACTS)
def test_rebuilt_projections_are_equal(site: Site, acts: list[tuple[int, str, int]]) -> None:
    phones = [site.phone(name="Rosa"), site.phone(name="Ilse")]
    made: list[str] = ["0" * 64]
    for who, what, number in acts:
        phone, check = phones[who], CHECKS[number]
        if what == "ok":
            made.append(ok(phone, [check]))
        elif what == "fault":
            made.append(fault(phone, check))
        elif what == "answer":
            made.append(ok(phone, [check], [made[number % len(made)]]))
        else:
            made.append(phone.write("withdrawn", {"entry": made[number % len(made)]}, NOW).id)
        if number % 2:
            phone.sync()
    for phone in phones:
        phone.sync()
    before = projected(site)
    with site.store.write() as session:
        rebuild(session, site.book)
    assert projected(site) == before


def test_an_invite_is_good_once_and_until_it_expires(site: Site) -> None:
    from seamwalk.store.access import phones

    token = site.invite(hours=1)
    late = NOW + timedelta(hours=1)
    with site.store.write() as session, pytest.raises(InviteRefused, match="has expired"):
        phones.use_invite(session, token, "d", late)
    with site.store.write() as session:
        assert phones.use_invite(session, token, "d", NOW).role == "crew"
    for device in ("d", "e"):
        with site.store.write() as session, pytest.raises(InviteRefused, match="was used by a phone"):
            phones.use_invite(session, token, device, late)
