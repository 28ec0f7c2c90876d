"""What was tried on the server and made it fail: kept here, so that it never does again."""

import json

import pytest
from werkzeug.test import TestResponse

from fuzz.fuzz_hostile import DEEP, DEEP_OBJECT, LONE, signed
from helpers import Site, logged_in, send, token
from seamwalk.book.jose import PrivateKey
from seamwalk.domain.stock.codes import Code

CALL = {"X-Seamwalk": "1", "Content-Type": "application/json"}


def post(site: Site, path: str, data: bytes) -> TestResponse:
    return site.app.test_client().post(f"/api/v1{path}", data=data, headers=CALL)


@pytest.mark.parametrize("after", ["1" + "0" * 30, "9223372036854775808", "-1", "1.5", "true", '"1"', "null"])
def test_where_a_sync_goes_on_is_a_whole_number_within_bounds(site: Site, after: str) -> None:
    body = b'{"after":%s,"entries":[],"head":null}' % after.encode()
    answer = site.phone().client.post(f"/api/v1/books/{site.book}/sync", data=body, headers=CALL)
    assert answer.status_code == 400
    assert answer.json["remedy"]


@pytest.mark.parametrize("deep", [DEEP, DEEP_OBJECT, b'{"after":0,"entries":' + DEEP + b"}"])
@pytest.mark.parametrize("path", ["/books/BOOK/sync", "/join", "/nonce", "/session"])
def test_deep_json_is_refused_before_it_is_read(site: Site, path: str, deep: bytes) -> None:
    answer = post(site, path.replace("BOOK", site.book), deep)
    assert (answer.status_code, answer.get_json()["error"]) == (400, "not_json")
    assert "deep" in answer.get_json()["message"]


def test_a_body_is_no_longer_than_its_call_needs(site: Site) -> None:
    answer = post(site, "/join", b'{"token":"%s"}' % (b"x" * 100_000))
    assert (answer.status_code, answer.get_json()["seamwalk"]) == (413, 1)


@pytest.mark.parametrize("device", [r"\ud800" + "A" * 42, r"\u0000" + "A" * 42, "A" * 42, "A" * 44])
@pytest.mark.parametrize("path", ["/nonce", "/session"])
def test_a_device_is_a_thumbprint(site: Site, path: str, device: str) -> None:
    answer = post(site, path, b'{"device":"%s","proof":"a.b.c"}' % device.encode())
    assert answer.status_code == 400


@pytest.mark.parametrize(
    "told", [b"[" * 1000, b'{"token":"\\ud800"}', b'{"token":NaN}', b"[]", b"\xff", b'{"token":1}', b"{}"]
)
def test_what_a_proof_is_over_may_be_anything(site: Site, told: bytes) -> None:
    key = PrivateKey.generate()
    body = {"token": "x", "jwk": key.jwk, "name": "Rosa", "proof": signed(key, told, "seamwalk-join")}
    answer = post(site, "/join", json.dumps(body).encode())
    assert (answer.status_code, answer.get_json()["error"]) == (403, "bad_proof")


@pytest.mark.parametrize(
    "bad", ["/office/\r\nSet-Cookie: a=b", "/office/\n", "/office/\0", f"/office/{LONE}"]
)
def test_where_a_login_leads_on_to_is_no_header(site: Site, bad: str) -> None:
    client = site.app.test_client()
    there = {"next": bad.encode("utf-8", "surrogatepass")}
    filled_in = {"csrf_token": token(client.get("/office/login").text), "login": "anna"}
    answer = client.post("/office/login", query_string=there, data={**filled_in, "password": "long password"})
    assert answer.status_code < 500
    assert "Set-Cookie: a" not in str(answer.headers.get("Location"))


@pytest.mark.parametrize("column", ["x", "-1", "1.5", "²", "99", "9" * 5000])
def test_the_columns_of_a_stock_list_are_its_own(site: Site, column: str) -> None:
    answer = mapped(site, kind=column)
    assert answer.status_code == 200
    assert "has no column" in answer.text


def mapped(site: Site, **columns: str) -> TestResponse:
    client = logged_in(site)
    fields = {"csrf_token": token(client.get("/office/stock").text), "text": "code,kind\n,tile\n"}
    return client.post("/office/stock/list", data={**fields, **columns})


@pytest.mark.parametrize(
    "query",
    [
        *(
            f"{name}={value}"
            for name in ("page_width_mm", "gap_x_mm")
            for value in ("x", "nan", "inf", "1e999")
        ),
        *(f"{name}={value}" for name in ("columns", "start") for value in ("x", "1.5", "-1", "9" * 30)),
    ],
)
def test_the_paper_of_labels_is_numbers(site: Site, query: str) -> None:
    address = f"/office/labels/print?codes=HQT000000&page_height_mm=297&page_width_mm=210&{query}"
    name = query.partition("=")[0]
    address = address.replace("&page_width_mm=210", "") if name == "page_width_mm" else address
    answer = logged_in(site).get(address)
    assert answer.status_code == 400
    assert name in answer.text


def test_labels_are_counted_before_they_are_made(site: Site) -> None:
    first, last = (Code("HQ", "T", serial).text for serial in (1, 99_999))
    codes = "+".join([f"{first}..{last}"] * 2_000)
    paper = "page_width_mm=210&page_height_mm=297"
    page = logged_in(site).get(f"/office/labels/print?{paper}&codes={codes}")
    assert "199998000 labels cannot be printed at once" in page.text


@pytest.mark.parametrize(
    "path", ["/L/%00", "/office/things/%00", "/office/things?text=%00", "/office/shows/%00"]
)
def test_a_nul_goes_nowhere(site: Site, path: str) -> None:
    assert logged_in(site).get(path).status_code in (400, 404)


@pytest.mark.parametrize("typed", ["NaN", "sNaN", "Infinity", "1e999", "-1e999999", "9" * 5000])
def test_a_number_of_a_form_is_one(site: Site, typed: str) -> None:
    client = logged_in(site)
    assert send(client, "/office/types", kind="case", type="", mass_kg=typed).status_code == 200
    assert send(client, "/office/shows/test-show/plan", columns=typed, mass_kg=typed).status_code == 200
    fields = {"count": "1", "page": "own", "page_width_mm": typed, "page_height_mm": "9"}
    assert send(client, "/office/labels", **fields).status_code == 200
