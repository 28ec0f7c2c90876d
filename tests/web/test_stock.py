"""Lists of stock: looked at before anything is applied, taken in whole or not at all, and out again."""

import io
import re

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from helpers import NOW, Site, logged_in, token
from seamwalk.book.entry import Entry
from seamwalk.domain.stock.codes import Code
from seamwalk.spreadsheets import read_table, write_xlsx
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.books import list_books
from seamwalk.store.projections import projections
from seamwalk_demo.crew import SimulatedPhone

CASE = Code("HQ", "C", 5).text
LIST = f"""Our code,What,Tile type,Home case,Lot,Serial
{CASE},case,,,,
,tile,plover_500,{CASE},=A,4711
,tile,plover_500,{CASE},B,
"""


def upload(client: FlaskClient, data: bytes, name: str = "list.csv") -> TestResponse:
    fields = {"csrf_token": token(client.get("/office/stock").text), "upload": (io.BytesIO(data), name)}
    return client.post("/office/stock", data=fields, content_type="multipart/form-data")


def send_list(client: FlaskClient, page: str, **typed: str) -> TestResponse:
    fields = dict(re.findall(r'<option value="()" ?selected', page))
    for name in re.findall(r'<select id="(\w+)"', page):
        select = page.partition(f'<select id="{name}"')[2].partition("</select>")[0]
        chosen = re.search(r'value="(\d*)" selected', select)
        fields[name] = chosen.group(1) if chosen else ""
    text = page.partition("hidden>")[2].partition("</textarea>")[0]
    fields |= {"text": text.replace("&#39;", "'"), "csrf_token": token(client.get("/office/stock").text)}
    return client.post("/office/stock/list", data=fields | typed, content_type="multipart/form-data")


def size(site: Site) -> int:
    with site.store.read() as session:
        return sum(intake.size(session, book.id) for book in list_books(session, "company"))


def rows(site: Site) -> list[list[str]]:
    """The first columns of all that a search finds: code, kind, type, batch, serial, home case, case."""
    found = logged_in(site).get("/office/things/found.csv").text
    return [row[:7] for row in read_table(found.encode(), "")[1:]]


def test_a_list_is_looked_at_and_then_taken_in(site: Site) -> None:
    client = logged_in(site)
    page = upload(client, LIST.encode()).text
    assert "Things: 3. New labels: 2." in page
    assert size(site) == 0
    done = send_list(client, page, accept="yes").text
    assert "Taken in: 3. Entries in the company&#39;s book: 5." in done
    tiles = [Code("HQ", "T", serial).text for serial in (1, 2)]
    assert rows(site) == [
        [CASE, "case", "", "", "", "", ""],
        [tiles[0], "tile", "plover_500", "=A", "4711", CASE, CASE],
        [tiles[1], "tile", "plover_500", "B", "", CASE, CASE],
    ]
    before = rows(site)
    with site.store.write() as session:
        projections.rebuild(session, list_books(session, "company")[0].id)
    assert rows(site) == before


def test_nothing_of_a_list_with_a_wrong_row_is_applied(site: Site) -> None:
    client = logged_in(site)
    page = upload(client, LIST.replace(",tile,", ",lamp,", 1).encode()).text
    assert "row 2, kind: &#39;lamp&#39; is none" in page
    assert 'name="accept"' not in page
    assert "row 2, kind" in send_list(client, page, accept="yes").text
    assert size(site) == 0
    assert "kind: has no column" in send_list(client, page, kind="").text


def test_the_stock_goes_out_and_is_read_again(site: Site) -> None:
    client = logged_in(site)
    send_list(client, upload(client, LIST.encode()).text, accept="yes")
    text = client.get("/office/things/found.csv")
    assert text.mimetype == "text/csv"
    assert "'=A" in text.text
    book = client.get("/office/things/found.xlsx").data
    assert read_table(book, "") == read_table(text.data, "")
    again = upload(client, book, "stock.xlsx").text
    assert "Things: 3. New labels: 0." in again
    before = size(site)
    send_list(client, again, accept="yes")
    assert size(site) == before + 2
    assert len(rows(site)) == 3


def test_what_is_no_list_is_refused(site: Site) -> None:
    client = logged_in(site)
    assert "is empty" in upload(client, b"").text
    assert "is no XLSX" in upload(client, b"PK nothing").text
    assert "Things: 0." in upload(client, write_xlsx([["kind"], [""]])).text


def test_the_office_sees_which_tile_stands_where(site: Site) -> None:
    phone, other = site.phone(name="Rosa"), site.phone(name="Kim")
    plan, _ = phone.plan("A")

    def bind(by: SimulatedPhone, tile: str, item: str | None, tag: str | None = None) -> Entry:
        body = {"plan": plan, "wall": "A", "tile": tile, "item": item, "tag": tag}
        entry = by.write("tile_bound", body | {"replaces": []}, NOW)
        by.sync()
        return entry

    code = Code("HQ", "T", 1).text
    bind(phone, "1.1", code)
    twice = bind(other, "2.1", code)
    bind(other, "3.1", None, "RENTAL 0077")
    client = logged_in(site)
    page = client.get("/office/shows/test-show/walls/A").text
    assert page.count("written down twice") == 2
    assert "RENTAL 0077" in page
    other.write("withdrawn", {"entry": twice.id}, NOW)
    other.sync()
    page = client.get("/office/shows/test-show/walls/A").text
    assert "written down twice" not in page
    assert page.count(code) == 1
    with site.store.write() as session:
        projections.rebuild(session, site.book)
    assert client.get("/office/shows/test-show/walls/A").text == page
