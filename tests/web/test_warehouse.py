"""The warehouse in the office: prep, cases back, missing, custody and claims, the bench, stock pages."""

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import Any
from zoneinfo import ZoneInfo

import pypdfium2
import pytest
from flask.testing import FlaskClient
from openpyxl import load_workbook

from helpers import PLAN, Site, found_in, logged_in, send, token
from seamwalk.book.excerpt import verify_excerpt
from seamwalk.book.jose import sha256_hex
from seamwalk.printing.moments import local_clock
from seamwalk.spreadsheets import read_table
from seamwalk.store.ledger.books import current_plan, find_book, freeze_plan, set_plan
from seamwalk.store.stock.failures import failures
from seamwalk.web.office.stock import things
from seamwalk.web.services import EXTENSION
from warehouse import Warehouse, case, shown, tile

SHOW = "/office/shows/test-show"


@pytest.fixture
def house(site: Site) -> Warehouse:
    made = Warehouse(site)
    made.stock(5, "AAABA")
    return made


@pytest.fixture
def office(site: Site) -> FlaskClient:
    return logged_in(site)


def table(office: FlaskClient, path: str) -> list[list[str]]:
    return read_table(office.get(path).data, "")


def describe(office: FlaskClient, **fields: Any) -> None:
    assert send(office, "/office/types", **fields).status_code == 302


def test_prep_tells_cases_columns_truck_and_what_speaks_against_them(
    house: Warehouse, office: FlaskClient
) -> None:
    describe(office, kind="case", type="", mass_kg="40", length_mm="1200")
    describe(office, kind="tile", type="plover_500", mass_kg="8.5", price="900", currency="EUR")
    page = office.get(f"{SHOW}/prep").text
    assert [page.index(shown(case(number))) for number in (1, 2, 3)] == sorted(
        page.index(shown(case(number))) for number in (1, 2, 3)
    )
    assert "57 kg" in page
    freight = table(office, f"{SHOW}/prep/freight.csv")
    assert [row[:6] for row in freight[1:]] == [
        ["1", case(3), "A", "3", "2", "57"],
        ["2", case(2), "A", "2", "2", "57"],
        ["3", case(1), "A", "1", "2", "57"],
    ]
    pdf = pypdfium2.PdfDocument(BytesIO(office.get(f"{SHOW}/prep/freight.pdf").data))
    words = pdf[0].get_textpage().get_text_range()
    assert "Cases of Test Show (1/1)" in words
    assert case(3) in words
    assert json.loads(office.get(f"{SHOW}/prep/freight.json").text)[0]["mass_kg"] == "57"
    assert read_table(office.get(f"{SHOW}/prep/freight.xlsx").data, "") == freight
    assert office.get(f"{SHOW}/prep/freight.exe").status_code == 404
    labels = pypdfium2.PdfDocument(BytesIO(office.get(f"{SHOW}/prep/labels.pdf").data))
    assert "A 3 · 1" in labels[0].get_textpage().get_text_range()
    manifest = office.get(f"{SHOW}/prep/manifests").text
    assert manifest.count('class="manifest"') == 3
    assert shown(tile(6)) in manifest
    house.look("Wim", 1, "edge:left")
    assert send(office, f"{SHOW}/prep").status_code == 302
    assert [entry.type for entry in house.phone("Wim").entries[-2:]] == ["prep_listed", "stock_listed"]


def test_a_named_case_that_should_not_go_is_told_with_a_better_one(site: Site, office: FlaskClient) -> None:
    house = Warehouse(site)
    house.stock(5, "AAABA")
    _, file = house.phone("Wim").plan("A")
    assert file["wall"] == "A"
    named = [{"case": case(number), "tile": "plover_500", "tiles": 2, "batch": "A"} for number in (1, 2, 4)]
    with site.store.write() as session:
        stands = current_plan(session, site.book, "A")
        assert stands is not None
        source = PLAN | {"stock": {"cases": named}}
        now = site.clock[0]
        set_plan(session, site.book, freeze_plan("A", source), replaces=stands.entry, now=now)
    page = office.get(f"{SHOW}/prep").text
    assert "Another batch: B, A." in page
    assert f"Better: {shown(case(3))}." in page


def test_what_is_missing_is_searched_by_its_neighbours_and_leaves_the_list_when_seen(
    house: Warehouse, office: FlaskClient
) -> None:
    describe(office, kind="tile", type="", price="1250.50", currency="EUR")
    house.see("Wim", 1, 1, 2)
    house.see("Wim", 2, 3, 4)
    for number, place in ((1, "1.1"), (2, "2.1"), (3, "3.1"), (4, "1.2")):
        house.bind("Rosa", number, place)
    assert "Nothing is missing." in office.get("/office/missing").text
    house.see("Kim", 1, 1, 3, stage="return")
    house.see("Kim", 2, 4, stage="return")
    page = office.get("/office/missing").text
    assert "1,250.50 EUR" in page
    (row,) = table(office, "/office/missing/missing.csv")[1:]
    assert row[:3] == [tile(2), "plover_500", "Test Show"]
    assert row[5:10] == ["Wall A · Tile in column 2, row 1", case(1), case(1), "1250.5", "EUR"]
    assert re.search(rf"Its neighbours came home in.*{shown(case(1))}</a> \(2\)", page)
    assert re.search(rf"foreign tile.*{shown(case(1))}", page)
    back = {row[0]: row for row in table(office, f"{SHOW}/cases/return.csv")[1:]}
    assert back[case(1)][1:] == ["wrong", "", "2", "1", tile(2), tile(3), ""]
    assert back[case(2)][1:] == ["short", "", "2", "1", tile(3), "", ""]
    house.see("Kim", None, 2, stage="return")
    assert "Nothing is missing." in office.get("/office/missing").text


def test_a_claim_rests_on_two_looks_that_anybody_can_verify(
    house: Warehouse, office: FlaskClient, site: Site
) -> None:
    house.look("Wim", 1, stage="prep")
    house.see("Wim", 1, 1, 2)
    house.see("Kim", 1, 1, 2, stage="return")
    seen = house.look("Kim", 1, "corner:top_left")
    page = office.get(f"/office/things/{tile(1)}").text
    assert "Corner, top left" in page
    assert "Sound when Wim looked" in page
    assert page.count("Test Show · ") == 2
    fields = {"part": "corner:top_left", "seen": seen.id, "against": "Kranich Haulage"}
    form = {"csrf_token": token(page), "reference": "S-77/4", "deadline": "2026-12-04"}
    nobody = office.post(f"/office/things/{tile(1)}/claims", data=fields | form | {"against": ""})
    assert nobody.location.endswith("claim=again")
    made = office.post(f"/office/things/{tile(1)}/claims", data=fields | form)
    sheet = office.get(made.location).text
    for words in (
        "Kranich Haulage",
        "S-77/4",
        "2026-12-04",
        seen.id,
        "The first look that saw it",
        "Wim, Test Show",
        "Kim, Test Show",
    ):
        assert words in sheet
    excerpts = re.findall(r'href="(/office/books/[^"]+\.txt)"', sheet)
    assert len(excerpts) == 2
    for path in excerpts:
        proven = verify_excerpt(office.get(path).data, site.owner)
        assert proven.trusted
        assert proven.entry.type == "item_looked_at"
    assert table(office, "/office/claims.csv")[1][2:] == [
        tile(1),
        "corner:top_left",
        "Kranich Haulage",
        "S-77/4",
        "2026-12-04",
    ]
    assert made.location in office.get(f"/office/things/{tile(1)}").text
    warehouse = logged_in(site, "wim")
    assert warehouse.get(made.location).status_code == 200
    assert warehouse.post(f"/office/things/{tile(1)}/claims").status_code == 403


def test_no_claim_rests_on_what_was_not_seen(house: Warehouse, office: FlaskClient) -> None:
    seen = house.look("Kim", 1, "corner:top_left")
    page = office.get(f"/office/things/{tile(1)}").text
    fields = {"csrf_token": token(page), "against": "Nobody", "seen": seen.id, "part": "edge:left"}
    assert office.post(f"/office/things/{tile(1)}/claims", data=fields).status_code == 404
    assert office.get(f"/office/claims/{seen.id}").status_code == 404


def test_search_finds_by_any_part_of_what_is_known(house: Warehouse, office: FlaskClient) -> None:
    def found(**asked: str) -> list[str]:
        answer = office.get("/office/things/found.json", query_string=asked)
        return [row["code"] for row in json.loads(answer.text)]

    assert len(found()) == 15
    assert found(text="plover b") == [tile(7), tile(8)]
    assert found(text=f"{tile(7)[:2]}-t-{tile(7)[3:8]}".lower()) == [tile(7)]
    assert found(text=case(2)) == [case(2), tile(3), tile(4)]
    assert found(text="100%") == []
    house.look("Kim", 3, "edge:left")
    assert found(status="quarantined") == [tile(3)]
    assert len(found(status="in_stock", kind="tile")) == 9
    page = office.get("/office/things/found", query_string={"text": "plover"}).text
    assert "Found: 15." in page
    assert "<html" not in page


def test_what_a_search_finds_is_shown_page_by_page(
    house: Warehouse, office: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(things, "_SHOWN", 7)
    pages = [office.get(f"/office/things?text=plover&page={number}").text for number in (1, 2, 3)]
    shown = [re.findall(r'name="code" value="(\w+)"', page) for page in pages]
    everything = json.loads(office.get("/office/things/found.json?text=plover").text)
    assert [len(codes) for codes in shown] == [7, 7, 1]
    assert [code for codes in shown for code in codes] == [row["code"] for row in everything]
    assert 'href="/office/things?page=3&amp;text=plover"' in pages[1]
    assert office.get("/office/things?text=plover&page=4").status_code == 404


def test_an_edit_of_many_is_made_and_undone(house: Warehouse, office: FlaskClient) -> None:
    def batches() -> list[str]:
        return [row["batch"] for row in json.loads(office.get("/office/things/found.json?kind=tile").text)]

    before = batches()
    send(office, "/office/things", code=[])
    page = office.get("/office/things").text
    ticked = {"csrf_token": token(page), "field": "batch", "value": "Z", "code": [tile(1), tile(2)]}
    assert office.post("/office/things/edit", data=ticked).status_code == 302
    assert batches()[:3] == ["Z", "Z", "A"]
    all_b = {"csrf_token": token(page), "field": "home_case", "value": case(5)}
    assert office.post("/office/things/edit?text=B&kind=tile", data=all_b).status_code == 302
    homes = json.loads(office.get("/office/things/found.json?kind=tile").text)
    assert [row["home_case"] for row in homes[6:8]] == [case(5), case(5)]
    wrong = {"csrf_token": token(page), "field": "home_case", "value": case(99)}
    assert "is not registered" in office.post("/office/things/edit?kind=tile", data=wrong).text
    page = office.get("/office/things").text
    undos = re.findall(r'action="(/office/things/undo/[0-9a-f]{64})"', page)
    assert len(undos) == 2
    office.post(undos[1], data={"csrf_token": token(page)})
    assert batches() == before
    assert "2 of 2" in office.get("/office/things").text


def test_a_search_is_kept_under_a_name(house: Warehouse, office: FlaskClient) -> None:
    page = office.get("/office/things?text=B&kind=tile").text
    office.post("/office/things/lists?text=B&kind=tile", data={"csrf_token": token(page), "name": "Autumn"})
    page = office.get("/office/things").text
    assert '<a href="/office/things?text=B&amp;kind=tile">Autumn</a>' in page
    office.post("/office/things/lists/forget", data={"csrf_token": token(page), "name": "Autumn"})
    assert "Autumn" not in office.get("/office/things").text


def test_the_bench_page_tells_the_queue_what_was_used_and_rates(
    house: Warehouse, office: FlaskClient, site: Site
) -> None:
    house.bind("Rosa", 1, "1.1")
    plan, _ = house.phone("Rosa").plan("A")
    check = "A/tile/1.1/picture:clean"
    body: dict[str, Any] = {"plan": plan, "out": None, "in": None, "reopens": [check]}
    house.find("Rosa", check)
    house.write("Rosa", "swapped", part="module", where="1.1/1.1", **body)
    house.write("Rosa", "swapped", part="electronics_unit", where="1.1", **body)
    house.write("Rosa", "swapped", part="tile", where="2.1", **body | {"out": tile(3)})
    taken_back = house.write("Rosa", "swapped", part="module", where="2.1/1.1", **body)
    house.write("Rosa", "withdrawn", entry=taken_back.id)
    with site.store.read() as session:
        found = failures(session)
    assert (found.by_part["module"].failures, found.by_part["module"].part_days) == (1, 6)
    assert found.by_batch["module", "A"].failures == 1
    assert found.by_batch["module", "A"].part_days == 1
    assert found.by_place["1.1"].failures == 1
    assert found.by_part["tile"].failures == 1
    assert found.together["electronics_unit", "module 1.1"] == (1, 1)
    house.bench("Kim", 3, "triage", "repair")
    house.bench("Kim", 3, "repair", "mended", mended=["edge:top"], used={"edge_strip": 2}, minutes=40)
    page = office.get("/office/bench").text
    assert "edge_strip 2" in page
    assert "Minutes in all: 40." in page
    assert page.count('class="plot"') == 4
    assert table(office, "/office/bench/queue.csv")[1][:5] == [
        tile(3),
        "tile",
        "plover_500",
        "A",
        "awaits_look",
    ]
    rates = table(office, "/office/bench/rates.csv")
    assert ["by_part", "module", "166.6667", "4.2196", "928.6072", "1/6"] in rates
    house.bench("Wim", 3, "second_look", "sound")
    assert len(table(office, "/office/bench/queue.csv")) == 1
    house.look("Kim", 3, "face:1.1")
    house.bench("Kim", 3, "triage", "no_fault")
    with site.store.read() as session:
        assert failures(session).by_part["tile"].failures == 0


def test_what_was_learned_stands_in_a_new_plan(house: Warehouse, office: FlaskClient) -> None:
    plan, _ = house.phone("Rosa").plan("A")
    check = "A/tile/1.1/picture:clean"
    house.find("Rosa", check)
    swap: dict[str, Any] = {"plan": plan, "part": "module", "where": "1.1/1.1", "out": None, "in": None}
    house.write("Rosa", "swapped", reopens=[check], **swap)
    page = office.get(f"{SHOW}/plan").text
    field = found_in(page, r'<input[^>]*name="learned_failures_module"[^>]*>')[0]
    assert 'value="1"' in field


def test_handovers_are_told_with_what_the_other_side_said(
    house: Warehouse, office: FlaskClient, site: Site
) -> None:
    phone = house.phone("Wim")
    hired = {"hire": "in", "items": [tile(1)], "photo_blobs": [], "configuration": None}
    first = phone.write(
        "hire_handed_over",
        hired | {"leg": "out", "party_blob": phone.note("Elster Rental"), "firmware": "4.1"},
        site.clock[0],
    )
    phone.write(
        "hire_handed_over",
        hired | {"leg": "back", "party_blob": phone.note("Elster Rental"), "firmware": "4.2"},
        site.clock[0],
    )
    phone.sync()
    partner = site.phone("partner", "Ilse of Elster")
    body = {"entry": first.id, "agrees": False, "name_blob": partner.note("Ilse of Elster")}
    partner.write("countersigned", body | {"note_blob": partner.note("Edge was dented")}, site.clock[0])
    assert partner.sync() == ["kept"]
    page = office.get(f"{SHOW}/cases").text
    assert "Hired from Elster Rental" in page
    assert "Ilse of Elster sees it otherwise: Edge was dented" in page
    assert "on another phone" in page
    assert "Firmware elsewhere: 4.2" in page
    assert page.count("Not countersigned yet") == 1


def test_photos_are_for_those_who_may_see_the_stock(
    house: Warehouse, office: FlaskClient, site: Site
) -> None:
    with site.store.read() as session:
        name = find_book(session, "company").slug
    assert office.get(f"/office/books/{name}/photos/{sha256_hex(b'none')}").status_code == 404


def test_the_pick_list_and_the_log_go_out_as_lists(house: Warehouse, office: FlaskClient) -> None:
    assert ["tile", "plover_500", "6", "0", "6"] in table(office, f"{SHOW}/pick-list.csv")
    plan, _ = house.phone("Rosa").plan("A")
    body: dict[str, Any] = {"plan": plan, "part": "module", "where": "1.1", "out": None, "in": None}
    swap = house.write("Rosa", "swapped", reopens=[], **body)
    (line,) = json.loads(office.get(f"{SHOW}/log.json").text)
    assert (line["by"], line["type"], line["entry"]) == ("Rosa", "swapped", swap.id)
    assert json.loads(line["body"])["where"] == "1.1"


def test_a_claim_says_when_what_it_rests_on_has_changed(house: Warehouse, office: FlaskClient) -> None:
    seen = house.look("Kim", 1, "corner:top_left")
    page = office.get(f"/office/things/{tile(1)}").text
    fields = {"csrf_token": token(page), "against": "Kranich", "seen": seen.id, "part": "corner:top_left"}
    claim = office.post(f"/office/things/{tile(1)}/claims", data=fields).location
    assert "leads to another window" not in office.get(claim).text
    body = {"covers": ["corner"], "damage": [], "item": tile(1), "stage": "prep"}
    house.write("Wim", "item_looked_at", house.site.clock[0] - timedelta(hours=9), **body)
    assert "leads to another window" in office.get(claim).text
    house.write("Kim", "withdrawn", entry=seen.id)
    gone = office.get(claim)
    assert gone.status_code == 200
    assert "leads to another window" in gone.text


def test_nothing_is_edited_when_nothing_was_chosen(house: Warehouse, office: FlaskClient) -> None:
    page = office.get("/office/things").text
    fields = {"csrf_token": token(page), "field": "batch", "value": "Z"}
    assert "nothing is ticked" in office.post("/office/things/edit", data=fields).text
    assert "Z" not in {row[3] for row in table(office, "/office/things/found.csv")}


def test_a_case_that_did_not_come_back_is_missing_with_what_lay_in_it(
    house: Warehouse, office: FlaskClient
) -> None:
    house.see("Wim", 1, 1, 2)
    house.see("Wim", 2, 3, 4)
    house.see("Kim", 1, 1, 2, stage="return")
    missing = {row[0] for row in table(office, "/office/missing/missing.csv")[1:]}
    assert missing == {case(2), tile(3), tile(4)}


def test_lists_for_people_have_the_companys_clock_and_places_in_words(
    house: Warehouse, office: FlaskClient, site: Site
) -> None:
    ours = site.app.extensions[EXTENSION]
    settings = replace(ours.settings, time_zone=ZoneInfo("Europe/Berlin"))
    site.app.extensions[EXTENSION] = replace(ours, settings=settings)
    house.bind("Rosa", 1, "1.1")
    path = f"/office/things/{tile(1)}/history"
    exact = [row for row in office.get(f"{path}.json").get_json() if row["type"] == "tile_bound"]
    (moment,) = {datetime.fromisoformat(row["seen_at"]) for row in exact}
    assert exact[0]["place"] == "A/1.1"
    header, *rows = table(office, f"{path}.csv")
    assert header[:2] == ["seen_at (Europe/Berlin)", "came_in_at (Europe/Berlin)"]
    (row,) = [row for row in rows if row[2] == "tile_bound"]
    there = moment.astimezone(ZoneInfo("Europe/Berlin"))
    assert row[0] == f"{there:%Y-%m-%d %H:%M}"
    assert row[6] == "Wall A · Tile in column 1, row 1"
    sheet = load_workbook(BytesIO(office.get(f"{path}.xlsx").data)).active
    (cell,) = [cells[0] for cells in sheet.iter_rows(min_row=2) if cells[2].value == "tile_bound"]
    assert cell.is_date
    assert cell.value == there.replace(second=0, microsecond=0, tzinfo=None)
    assert office.get(f"{path}.pdf").status_code == 200


def test_a_time_that_no_spreadsheet_has_stays_as_it_is_written() -> None:
    assert local_clock("1970-01-01T00:00:00.000Z", UTC) == datetime(1970, 1, 1)  # noqa: DTZ001
    for odd in ("1899-12-31T00:00:00.000Z", "0001-01-01T00:00:00.000Z", "last night", ""):
        assert local_clock(odd, ZoneInfo("America/New_York")) is None
