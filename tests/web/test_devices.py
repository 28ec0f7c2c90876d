"""A phone's life: named, renamed, lost, replaced, and its file taken in when it cannot sync."""

import io
import json
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from helpers import NOW, Site, logged_in, send
from seamwalk.book.entry import Entry
from seamwalk.book.jose import base64url_encode, sha256_hex
from seamwalk.store.access import phones
from seamwalk.store.findings.states import name_of, open_findings, wall_states
from seamwalk.store.tables import Blob, Device
from seamwalk_demo.crew import SimulatedPhone

SHOW = "/office/shows/test-show"
CHECK = "A/tile/1.1/condition:sound"


def device_row(site: Site, phone: SimulatedPhone) -> Device:
    with site.store.read() as session:
        return session.get_one(Device, (site.book, phone.key.thumbprint))


def name(site: Site, phone: SimulatedPhone) -> str:
    with site.store.read() as session:
        return name_of(session, site.book, phone.key.thumbprint)


def fault(phone: SimulatedPhone, **fields: Any) -> Entry:
    plan, _ = phone.plan("A")
    body = {"plan": plan, "checks": [CHECK], "result": "fault", "weight": "show", "reason": "wet"}
    return phone.write("found", body | fields, NOW)


def lines_of(phone: SimulatedPhone) -> str:
    """The file that a phone saves: its pending entries and their texts."""
    entries = [{"entry": entry.jws} for entry in phone.pending]
    texts = [{"blob": sha256_hex(blob), "data": base64url_encode(blob)} for blob in phone.blobs]
    return "".join(json.dumps(line) + "\n" for line in [*entries, *texts])


def hand_in(client: FlaskClient, text: str) -> str:
    page: str = send(client, f"{SHOW}/take-in", upload=(io.BytesIO(text.encode()), "phone.txt")).text
    return page


def test_a_revoked_phone_is_admitted_again_where_it_is_looked_for(site: Site) -> None:
    phone, client = site.phone(), logged_in(site)
    path = f"{SHOW}/devices/{phone.key.thumbprint}"
    assert send(client, f"{path}/revoke", reason="left in a taxi").status_code == 302
    fault(phone)
    assert phone.sync() == ["held"]
    for page in (SHOW, f"{SHOW}/held"):
        assert path in client.get(page).text
    page = client.get(path).text
    assert "Admit it again" in page
    assert f"{path}/revoke" not in page
    assert send(client, path, name="Rosa", role="crew").status_code == 302
    assert device_row(site, phone).revoked_idx is None
    with site.store.read() as session:
        assert wall_states(session, site.book, "A")[CHECK].state == "fault"


def test_an_empty_file_is_told(site: Site) -> None:
    assert "the file is empty" in hand_in(logged_in(site), "")


def test_a_renamed_phone_stays_the_same_person(site: Site) -> None:
    phone = site.phone(name="Rsoa")
    person = device_row(site, phone).person
    client = logged_in(site)
    path = f"{SHOW}/devices/{phone.key.thumbprint}"
    assert 'value="Rsoa"' in client.get(path).text
    assert send(client, path, name="", role="chief").status_code == 200
    assert send(client, path, name="Rosa", role="chief").status_code == 302
    row = device_row(site, phone)
    assert (row.person, row.role, name(site, phone)) == (person, "chief", "Rosa")


def test_the_next_phone_of_somebody_takes_back_what_the_lost_one_wrote(site: Site) -> None:
    lost = site.phone(name="Rosa")
    entry = fault(lost)
    lost.sync()
    client = logged_in(site)
    send(client, f"{SHOW}/devices/{lost.key.thumbprint}/revoke", reason="left on the train")
    assert "Admit it again" in client.get(f"{SHOW}/devices/{lost.key.thumbprint}").text
    person = device_row(site, lost).person
    link = send(client, f"{SHOW}/invite", role="crew", hours="2", person=person).text
    assert "Rosa" in link
    token = link.split("#join=")[1].split(".")[0]
    fresh = SimulatedPhone(site.app.test_client(), site.book)
    fresh.join(token, "Rosa")
    fresh.sync()
    assert device_row(site, fresh).person == person
    fresh.write("withdrawn", {"entry": entry.id}, NOW)
    assert fresh.sync() == ["kept"]
    with site.store.read() as session:
        assert open_findings(session, site.book, wall_states(session, site.book, "A")) == []


def test_a_phone_that_joins_twice_stays_one_person(site: Site) -> None:
    phone = site.phone()
    person = device_row(site, phone).person
    phone.join(site.invite("chief"), "Rosa")
    assert (device_row(site, phone).person, device_row(site, phone).role) == (person, "chief")


def test_a_new_key_is_admitted_as_the_person_it_was(site: Site) -> None:
    known = site.phone(name="Rosa")
    person = device_row(site, known).person
    stranger = SimulatedPhone(site.app.test_client(), site.book)
    plan, _ = known.plan("A")
    stranger.write("found", {"plan": plan, "checks": [CHECK], "result": "ok"}, NOW)
    assert stranger.sync() == ["held"]
    path = f"{SHOW}/devices/{stranger.key.thumbprint}/admit"
    client = logged_in(site)
    form = {"name": "Rosa", "role": "crew", "person": person}
    page = client.get(f"{SHOW}/held").text
    token = page.split('name="csrf_token"')[1].split('value="')[1].split('"')[0]
    assert client.post(path, data=form | {"csrf_token": token}).status_code == 302
    assert device_row(site, stranger).person == person


def test_a_phones_file_counts_as_if_it_had_sent_it_and_nothing_twice(site: Site) -> None:
    phone = site.phone()
    note = phone.note("2 mm at the top")
    fault(phone, note_blob=note)
    text = lines_of(phone)
    client = logged_in(site)
    page = hand_in(client, text)
    assert '<li data-verdict="kept"><strong>1</strong>' in page
    assert '<li data-verdict="again"><strong>1</strong>' in hand_in(client, text)
    assert phone.sync() == ["again"]
    with site.store.read() as session:
        assert session.scalars(select(Blob.data).where(Blob.sha256 == note)).one() is not None


def test_a_file_of_a_lost_key_is_held_until_somebody_admits_it(site: Site) -> None:
    site.phone()
    stranger = SimulatedPhone(site.app.test_client(), site.book)
    stranger.write("withdrawn", {"entry": "0" * 64}, NOW)
    assert '<li data-verdict="held"><strong>1</strong>' in hand_in(logged_in(site), lines_of(stranger))


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("nonsense", "line 2: not JSON"),
        ("[1]", "line 2: a JSON object is needed"),
        ('{"what": 1}', "line 2: neither an entry nor a text"),
        ('{"blob": "00", "data": "AA"}', "line 2: blob: its bytes hash to"),
    ],
)
def test_a_torn_file_is_refused_whole_by_line(site: Site, line: str, message: str) -> None:
    phone = site.phone()
    fault(phone)
    page = hand_in(logged_in(site), lines_of(phone) + line)
    assert message in page
    assert phone.sync() == ["kept"]


def test_a_lost_phone_reads_nothing_any_more(site: Site) -> None:
    phone = site.phone()
    client = logged_in(site)
    send(client, f"{SHOW}/devices/{phone.key.thumbprint}/revoke", reason="lost")
    with site.store.read() as session:
        assert phones.admitted(session, site.book, phone.key.thumbprint) is None
    fault_text = {"after": 0, "entries": []}
    headers = {"X-Seamwalk": "1"}
    answer = phone.client.post(f"/api/v1/books/{site.book}/sync", json=fault_text, headers=headers).json
    assert (answer["reading"], answer["entries"]) == ("sign_in", None)
