"""The office's labels: given out once, printed in true size, printed again, replaced when damaged."""

import json
import re

import pypdfium2
import pytest
import zxingcpp

from helpers import Site, logged_in, send
from seamwalk.domain.stock.codes import Code
from seamwalk.store.ledger.books import list_books
from seamwalk.store.projections import projections
from seamwalk.store.stock.labels import find_item, stock_file

PATH = "/office/labels"
PAPER = {"page": "A4", "columns": 3, "rows": 8, "margin_x_mm": 7, "margin_y_mm": 8, "start": 1}


def printed(site: Site, **typed: object) -> tuple[str, list[str]]:
    """The print page after typing, and what the symbols of its PDF hold."""
    client = logged_in(site)
    answer = send(client, PATH, **PAPER, **typed)
    assert answer.status_code == 302, re.findall(r'class="error"[^>]*>([^<]+)', answer.text)
    page = client.get(answer.headers["Location"]).text
    href = re.search(r'href="([^"]+labels\.pdf[^"]+)"', page)
    assert href is not None
    pdf = client.get(href.group(1).replace("&amp;", "&"))
    assert pdf.mimetype == "application/pdf"
    found = []
    for sheet in pypdfium2.PdfDocument(pdf.data):
        symbols = zxingcpp.read_barcodes(sheet.render(scale=3).to_pil())
        found += [symbol.text.rpartition("/")[2] for symbol in symbols]
    return page, sorted(found)


def test_new_labels_are_registered_and_printed(site: Site) -> None:
    page, found = printed(site, kind="tile", count="30", tile_type="plover_500")
    assert found == [Code("HQ", "T", serial).text for serial in range(1, 31)]
    assert "Labels: 30, each 65.3 x 35.1 mm. Pages: 2." in page
    _, more = printed(site, kind="tile", count="1")
    assert more == [Code("HQ", "T", 31).text]
    with site.store.read() as session:
        item = find_item(session, Code("HQ", "T", 30))
        assert item is not None
        assert item.tile_type == "plover_500"


@pytest.mark.parametrize("kind", ["case", "module", "electronics_unit", "part", "place"])
def test_every_kind_has_labels(site: Site, kind: str) -> None:
    assert len(printed(site, kind=kind, count="2")[1]) == 2


def test_labels_are_printed_again(site: Site) -> None:
    printed(site, kind="case", count="3")
    code = Code("HQ", "C", 2)
    assert printed(site, codes=f" {code.grouped.lower()}\n{code.text}")[1] == [code.text] * 2


def test_a_damaged_label_is_replaced_and_leads_to_the_same_thing(site: Site) -> None:
    printed(site, kind="tile", count="2", tile_type="plover_500")
    old = Code("HQ", "T", 1)
    assert printed(site, damaged=old.grouped)[1] == [Code("HQ", "T", 3).text]
    with site.store.write() as session:
        book = list_books(session, "company")[0]
        projections.rebuild(session, book.id)
        for code in (old, Code("HQ", "T", 3)):
            item = find_item(session, code)
            assert item is not None
            assert item.code == old.text
    page = site.phone().client.get(f"/L/{Code('HQ', 'T', 3).text}").text
    assert old.text in page
    assert "plover_500" in page
    assert "is not registered" in send(logged_in(site), PATH, **PAPER, damaged="HQ-T-00042-1").text


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"columns": 14}, "mm a module where 0.396 are needed"),
        ({"margin_x_mm": 110}, "leave no room for labels"),
        ({"start": 25}, "place 25 is not on a page of 24"),
        ({"page": "own"}, "page_width_mm: 0 is not a page size"),
        ({"count": "5001"}, "Give 0 to 5000 new labels"),
    ],
)
def test_nothing_is_given_out_for_paper_that_does_not_do(
    site: Site, typed: dict[str, object], said: str
) -> None:
    client = logged_in(site)
    answer = send(client, PATH, **{**PAPER, "kind": "tile", "count": "3", **typed})
    assert said in answer.text
    assert printed(site, kind="tile", count="1")[1] == [Code("HQ", "T", 1).text]


def test_wrong_codes_and_addresses_are_said(site: Site) -> None:
    client = logged_in(site)
    wrong = send(client, PATH, **PAPER, codes="HQ-T-00042-7").text
    assert "is not a label code" in wrong
    assert "HQ-T-00042-7" in wrong
    assert client.get(f"{PATH}/labels.pdf?codes=HQT000421&page_width_mm=x").status_code == 400
    paper = "page_width_mm=100&page_height_mm=50"
    many = f"{Code('HQ', 'T', 1).text}..{Code('HQ', 'T', 5001).text}"
    for codes, number in (("", 0), (many, 5001)):
        answer = client.get(f"{PATH}/labels.pdf?{paper}&codes={codes}")
        assert answer.status_code == 422
        assert f"{number} labels cannot be printed at once" in answer.text


def test_the_paper_is_remembered(site: Site) -> None:
    client = logged_in(site)
    own = {"page": "own", "page_width_mm": "62.5", "page_height_mm": 40, "columns": 1, "rows": 1}
    assert (
        send(client, PATH, **{**PAPER, **own, "margin_x_mm": 0, "margin_y_mm": 0}, count=1).status_code == 302
    )
    again = client.get(PATH).text
    assert 'value="62.5"' in again
    assert '<option selected value="own">' in again


def test_a_revoked_label_says_so_to_whoever_scans_it(site: Site) -> None:
    client = logged_in(site)
    printed(site, kind="tile", count="1")
    code = Code("HQ", "T", 1)
    path = f"{PATH}/revoke"
    assert "it stays in the book" in send(client, path, revoked=code.grouped).text
    assert "is not a label code" in send(client, path, revoked="HQ-T-00042-7", reason="Misprint.").text
    assert send(client, path, revoked=code.grouped, reason="Misprint.").status_code == 302
    assert "Misprint." in site.phone().client.get(f"/L/{code.text}").text
    with site.store.write() as session:
        projections.rebuild(session, list_books(session, "company")[0].id)
        file = json.loads(stock_file(session, site.book))
    assert file["revoked"] == {code.text: "Misprint."}
    assert [item[0] for item in file["items"]] == [code.text]
