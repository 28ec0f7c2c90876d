"""A stranger without login pushes a book back in twisted signatures: nothing of it counts."""

import json
from typing import Any

import pytest

from helpers import NOW, Site
from seamwalk.book.entry import Entry
from seamwalk.book.jose import other_form
from seamwalk.store.access import phones
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import admit_device, restore_book, write_as_office
from seamwalk.store.ledger.intake import size
from seamwalk.store.ledger.witness import root_at
from seamwalk.store.sync.phone_file import import_phone_file, read_phone_file
from seamwalk_demo.crew import SimulatedPhone

CALL = {"X-Seamwalk": "1"}
TAKEN_BACK, MENDED = "A/tile/1.1/condition:sound", "A/tile/2.1/condition:sound"


def found(phone: SimulatedPhone, check: str, result: str, *answers: str) -> Entry:
    plan = next(entry.id for entry in phone.entries if entry.type == "plan_set")
    fault = {"weight": "stop", "reason": "gap"} if result == "fault" else {}
    body = {"plan": plan, "checks": [check], "result": result, "answers": list(answers), **fault}
    return phone.write("found", body, NOW)


@pytest.fixture
def night(site: Site) -> dict[str, SimulatedPhone]:
    """An ok taken back, a stop fault mended, a phone revoked, a chief made crew."""
    phones = {name: site.phone(role, name) for name, role in (("Rosa", "crew"), ("Ben", "crew"))}
    phones["Cleo"] = site.phone("chief", "Cleo")
    rosa, ben, cleo = phones.values()
    ok = found(rosa, TAKEN_BACK, "ok")
    rosa.write("withdrawn", {"entry": ok.id}, NOW)
    fault = found(rosa, MENDED, "fault")
    rosa.sync()
    cleo.sync()
    found(cleo, MENDED, "ok", fault.id)
    cleo.sync()
    with site.store.write() as session:
        gone = {"device": ben.key.thumbprint, "reason": "lost"}
        write_as_office(session, site.book, "device_revoked", gone, NOW)
        admit_device(session, site.book, jwk=cleo.key.jwk, name="Cleo", role="crew", now=NOW)
    rosa.sync()
    return phones


def push(site: Site, texts: list[str]) -> list[dict[str, Any]]:
    """Push texts as a stranger does: with no cookie."""
    body = {"after": 0, "entries": texts, "head": None}
    answer = site.app.test_client().post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL)
    assert answer.status_code == 200
    return list(answer.get_json()["verdicts"])


def picture(site: Site, night: dict[str, SimulatedPhone]) -> tuple[Any, ...]:
    """What must not change: size, states, who is in."""
    with site.store.read() as session:
        states = {
            check: (state.state, state.standing)
            for check, state in wall_states(session, site.book, "A").items()
        }
        admitted = {
            name: getattr(phones.admitted(session, site.book, phone.key.thumbprint), "role", None)
            for name, phone in night.items()
        }
        return size(session, site.book), states, admitted


def test_no_twisted_entry_counts_as_new(site: Site, night: dict[str, SimulatedPhone]) -> None:
    before = picture(site, night)
    assert before[1].get(TAKEN_BACK, ("open",))[0] == "open"
    assert before[1][MENDED][0] == "ok"
    assert before[2] == {"Rosa": "crew", "Ben": None, "Cleo": "crew"}
    kept = night["Rosa"].entries
    verdicts = push(site, [other_form(entry.jws) for entry in reversed(kept)])
    assert [verdict["verdict"] for verdict in verdicts] == ["again"] * len(kept)
    assert [(verdict["id"], verdict["index"]) for verdict in reversed(verdicts)] == [
        (entry.id, index) for index, entry in enumerate(kept)
    ]
    assert picture(site, night) == before


def test_a_revoked_phone_and_a_former_chief_stay_what_they_are(
    site: Site, night: dict[str, SimulatedPhone]
) -> None:
    push(site, [other_form(entry.jws) for entry in night["Rosa"].entries])
    found(night["Ben"], TAKEN_BACK, "ok")
    with site.store.read() as session:
        root = root_at(session, site.book, 2)
    plan = next(entry.id for entry in night["Cleo"].entries if entry.type == "plan_set")
    over = {"plan": plan, "epoch": 1, "size": 2, "root": root, "own": [], "exceptions": []}
    night["Cleo"].write("signed_off", {"statement": "built", "wall": "A", **over}, NOW)
    assert [night[name].sync() for name in ("Ben", "Cleo")] == [["held"], ["held"]]


def test_a_twisted_text_that_came_first_is_its_authors_entry(
    site: Site, night: dict[str, SimulatedPhone]
) -> None:
    rosa = night["Rosa"]
    entry = found(rosa, TAKEN_BACK, "not_reached")
    (stranger,) = push(site, [other_form(entry.jws)])
    assert (stranger["verdict"], stranger["id"]) == ("kept", entry.other_id)
    assert rosa.sync() == ["again"]
    assert rosa.pending == []
    rosa.write("withdrawn", {"entry": entry.id}, NOW)
    assert rosa.sync() == ["kept"]
    with site.store.read() as session:
        assert TAKEN_BACK not in wall_states(session, site.book, "A")


def test_a_file_of_twisted_texts_brings_nothing_new(site: Site, night: dict[str, SimulatedPhone]) -> None:
    before = picture(site, night)
    lines = [json.dumps({"entry": other_form(entry.jws)}) for entry in night["Rosa"].entries]
    with site.store.write() as session:
        taken = import_phone_file(session, site.book, read_phone_file(lines), NOW)
        assert taken.count("again") == len(lines)
    assert picture(site, night) == before


def test_behind_a_restore_what_is_sent_again_twisted_is_one_entry(
    site: Site, night: dict[str, SimulatedPhone]
) -> None:
    rosa = night["Rosa"]
    with site.store.write() as session:
        restore_book(session, site.book, NOW, base_size=2)
    here = size_of(site)
    push(site, [other_form(entry.jws) for entry in rosa.entries])
    assert set(rosa.sync()) <= {"again"}
    assert size_of(site) == here
    assert rosa.pending == []


def size_of(site: Site) -> int:
    with site.store.read() as session:
        return size(session, site.book)
