"""The office's side of procedures: editions, contacts, the log, photos in parts, blanks on paper."""

import io
import json
from typing import Any

import pytest
import yaml
from PIL import Image
from werkzeug.test import TestResponse

from helpers import NOW, Site, logged_in, send, token
from seamwalk.book.jose import sha256_hex
from seamwalk.procedures import built_in, edition_hash
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import find_book
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.show.contacts import Contact, contacts
from seamwalk.store.show.editions import company_file, editions
from seamwalk.store.tables import ActivityRow
from seamwalk_demo.crew import SimulatedPhone

SHOW = "/office/shows/test-show"
CALL = {"X-Seamwalk": "1"}


def upload(site: Site, text: str) -> TestResponse:
    client = logged_in(site)
    file = (io.BytesIO(text.encode()), "ours.yaml")
    return send(client, "/office/procedures", upload=file)


def test_a_company_changes_the_procedures_and_gives_them_to_a_show(site: Site) -> None:
    client = logged_in(site)
    whole = yaml.safe_load(client.get("/office/procedures.yaml").text)
    assert whole["procedures"] == json.loads(built_in())["procedures"]
    whole["texts"]["en"]["guard.steps.look"] = "Walk the edge, twice."
    assert upload(site, yaml.safe_dump(whole)).status_code == 302
    page = client.get("/office/procedures").text
    assert "Walk the edge, twice." in page
    with site.store.read() as session:
        file = company_file(session)
    assert edition_hash(file)[:12] in page
    given = client.post(f"{SHOW}/procedures", data={"csrf_token": token(client.get(SHOW).text)})
    assert given.status_code == 302
    phone = site.phone()
    listed = [entry for entry in phone.entries if entry.type == "procedures_listed"]
    got = phone.client.get(f"/api/v1/books/{site.book}/blobs/{listed[-1].body['edition_file']}")
    assert json.loads(got.data)["texts"]["en"]["guard.steps.look"] == "Walk the edge, twice."


def test_a_wrong_edition_is_named_by_line_and_nothing_changes(site: Site) -> None:
    answer = upload(
        site, "procedures:\n  guard:\n    key: guard\n    applies_to: [owl]\n    steps: [{key: look}]\n"
    )
    assert (
        "ours.yaml:4: procedures.guard.applies_to[0]: owl is not a check kind of this procedure"
        in answer.text
    )
    with site.store.read() as session:
        assert company_file(session) == built_in()


def test_contacts_are_written_a_line_each_and_a_wrong_line_is_named(site: Site) -> None:
    client = logged_in(site)
    path = f"{SHOW}/contacts"
    answer = send(client, path, lines="Jo Lind, rigger, +49 30 5550123\nnobody")
    assert "Line 2: write name, role, number" in answer.text
    assert send(client, path, lines="Jo Lind, rigger, +49 30 5550123\n\n").status_code == 302
    with site.store.read() as session:
        assert contacts(session, site.book) == [Contact("Jo Lind", "rigger", "+49 30 5550123")]
    assert "Jo Lind, rigger, +49 30 5550123" in client.get(path).text


def tell(site: Site) -> tuple[SimulatedPhone, str]:
    """An incident, a swap and a reading from paper; the phone, and the swap's id."""
    phone = site.phone()
    plan, file = phone.plan("A")
    told = phone.note("A drill fell past row 2")
    body = {
        "procedure": "incident",
        "at": "show",
        "plan": None,
        "result": "fault",
        "reason": "something_fell",
    }
    phone.write(
        "procedure_walked", body | {"chosen": ["help:nobody_hurt"], "text_blobs": {"what": told}}, NOW
    )
    swap = {"plan": plan, "part": "module", "where": "1.1/1.1", "out": "HQM000010", "in": None}
    swapped = phone.write("swapped", swap | {"reopens": []}, NOW)
    reading = {"name": "gap_mm", "unit": "mm", "value": 0.2}
    paper = {"by_blob": phone.note("Old Tom"), "at": "2026-11-20T20:15Z"}
    found = {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}
    phone.write("found", found | {"readings": [reading], "paper": paper, "edition": "a" * 64}, NOW)
    assert phone.sync() == ["kept"] * 3
    return phone, swapped.id


def test_the_log_tells_incidents_readings_and_what_is_in_quarantine(site: Site) -> None:
    phone, swapped = tell(site)
    page = logged_in(site).get(f"{SHOW}/log").text
    for words in (
        "Something fell",
        "A drill fell past row 2",
        "HQM000010",
        "Gap: 0.2 mm",
        "From paper by Old Tom",
    ):
        assert words in page, words
    phone.write("withdrawn", {"entry": swapped}, NOW)
    phone.sync()
    page = logged_in(site).get(f"{SHOW}/log").text
    assert "No part with a label came out of a wall." in page
    assert "taken back" in page


def test_a_long_log_begins_with_its_newest_and_goes_on_over_the_page(site: Site) -> None:
    phone = site.phone()
    plan, file = phone.plan("A")
    body = {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}
    for number in range(502):
        reading = {"name": "gap_mm", "unit": "mm", "value": number}
        phone.write("found", body | {"readings": [reading]}, NOW)
    phone.sync()
    office = logged_in(site)
    page = office.get(f"{SHOW}/log").text
    assert "Gap: 501 mm" in page
    assert "Gap: 1 mm" not in page
    assert "Page 1 of 2" in page
    assert f'<a rel="next" href="{SHOW}/log?page=2">' in page
    older = office.get(f"{SHOW}/log?page=2").text
    assert "Gap: 1 mm" in older
    assert "Gap: 2 mm" not in older
    assert f'<a rel="prev" href="{SHOW}/log?page=1">' in older
    for asked, code in (("3", 404), ("0", 400), ("x", 400), (str(10**30), 400)):
        assert office.get(f"{SHOW}/log?page={asked}").status_code == code, asked


def test_the_log_is_made_again_from_the_book(site: Site) -> None:
    tell(site)
    with site.store.write() as session:
        before = [(row.idx, row.body) for row in session.query(ActivityRow).order_by(ActivityRow.idx)]
        rebuild(session, site.book)
        assert [(row.idx, row.body) for row in session.query(ActivityRow).order_by(ActivityRow.idx)] == before


def picture(**options: Any) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((400, 300), 60).convert("RGB").save(out, "JPEG", **options)
    return out.getvalue()


def test_a_photo_comes_in_parts_and_goes_on_where_the_network_was_lost(site: Site) -> None:
    phone = site.phone()
    data = picture()
    name = sha256_hex(data)
    path = f"/api/v1/books/{site.book}/blobs/{name}/part"

    def part(at: int, length: int) -> dict[str, Any]:
        where = f"{path}?at={at}&total={len(data)}"
        return dict(phone.client.put(where, data=data[at : at + length], headers=CALL).json)

    assert phone.client.get(path).json == {"seamwalk": 1, "received": 0, "whole": False}
    assert part(0, 5000)["received"] == 5000
    assert part(0, 5000)["received"] == 5000, "the same part again changes nothing"
    assert part(9000, 100)["received"] == 5000, "a part further on changes nothing"
    assert phone.client.get(path).json["received"] == 5000
    assert part(5000, len(data)) == {"seamwalk": 1, "received": len(data), "whole": True}
    assert part(0, 10)["whole"]
    with site.store.read() as session:
        assert read_blob(session, site.book, name) == data
    shown = logged_in(site).get(f"/office/books/test-show/photos/{name}")
    assert (shown.mimetype, shown.headers["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert shown.data == data


def test_a_part_that_does_not_make_the_named_whole_comes_anew(site: Site) -> None:
    phone = site.phone()
    data = picture()
    name = sha256_hex(data)
    path = f"/api/v1/books/{site.book}/blobs/{name}/part"
    wrong = b"\xff\xd8\xff" + bytes(len(data) - 3)
    answer = phone.client.put(f"{path}?at=0&total={len(data)}", data=wrong, headers=CALL)
    assert (answer.status_code, answer.json["error"]) == (422, "wrong_hash")
    assert phone.client.get(path).json["received"] == 0
    assert phone.client.put(f"{path}?at=0", data=data, headers=CALL).status_code == 400
    assert phone.client.put(f"{path}?at=0&total=2000000", data=data, headers=CALL).status_code == 422


def exif() -> Image.Exif:
    made = Image.Exif()
    made[0x010F] = "A camera"
    return made


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (picture(exif=exif()), "it carries metadata"),
        (picture(comment=b"here"), "it carries metadata"),
        (picture()[:2000], "not a whole JPEG"),
        (b"\xff\xd8\xff" + b"no picture" * 30, "not a whole JPEG"),
    ],
)
def test_what_is_no_clean_photo_is_refused(site: Site, data: bytes, message: str) -> None:
    path = f"/api/v1/books/{site.book}/blobs/{sha256_hex(data)}"
    answer = site.phone().client.put(path, data=data, headers=CALL)
    assert answer.status_code == 422
    assert message in answer.json["message"]


def test_every_walk_has_a_blank_and_each_check_of_it_a_line(site: Site) -> None:
    client = logged_in(site)
    _, file = site.phone().plan("A")
    for walk in file["walks"]:
        page = client.get(f"{SHOW}/walls/A/blank/{walk['key']}").text
        assert page.count('class="box"') == 2 * sum(len(stop["checks"]) for stop in walk["stops"])
        assert "⟦" in client.get(f"{SHOW}/walls/A/blank/{walk['key']}?lang=pseudo").text
    assert client.get(f"{SHOW}/walls/A/blank/nowhere").status_code == 404


def test_a_new_show_gives_its_phones_the_procedures_that_hold(site: Site) -> None:
    client = logged_in(site)
    assert send(client, "/office/shows/new", title="Next", slug="next").status_code == 302
    with site.store.read() as session:
        (listed,) = editions(session, find_book(session, "next").id)
    assert listed[0] == edition_hash(built_in())
