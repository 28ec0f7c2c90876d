"""What takes long is worked out while nobody is kept from writing; what was overtaken is worked out anew."""

import io
import json
from collections.abc import Callable
from types import ModuleType
from typing import Any

import pytest
from PIL import Image
from werkzeug.test import TestResponse

from helpers import NOW, PLAN, Site, logged_in, send, token
from seamwalk.book.jose import sha256_hex
from seamwalk.domain.stock.stock_list import read_stock
from seamwalk.errors import Conflict
from seamwalk.store.access import passwords
from seamwalk.store.ledger import blobs, texts
from seamwalk.store.stock import labels, listing
from seamwalk.web.office.stock import stock
from seamwalk.web.office.wall import planning
from warehouse import Warehouse

SHOW = "/office/shows/test-show"
LIST = b"kind,type\ntile,plover_500\n"


def give(site: Site, what: str) -> int:
    office = logged_in(site)
    sent = {"csrf_token": token(office.get(SHOW).text)}
    return office.post(f"{SHOW}/{what}", data=sent).status_code


def plan(site: Site) -> int:
    fields = {"wall": "B", "text": str(PLAN).replace("'", '"')}
    return send(logged_in(site), f"{SHOW}/plan-json", **fields).status_code


def take_list(site: Site) -> int:
    answer = post_list(site)
    assert "Taken in: 1." in answer.text
    return answer.status_code


def post_list(site: Site) -> TestResponse:
    office = logged_in(site)
    fields = {"csrf_token": token(office.get("/office/stock").text), "accept": "yes"}
    fields |= {"text": LIST.decode(), "kind": "0", "tile_type": "1"}
    return office.post("/office/stock/list", data=fields, content_type="multipart/form-data")


def photo() -> bytes:
    out = io.BytesIO()
    Image.effect_noise((60, 60), 60).convert("RGB").save(out, "JPEG")
    return out.getvalue()


def send_photo(site: Site) -> int:
    data = photo()
    path = f"/api/v1/books/{site.book}/blobs/{sha256_hex(data)}"
    return site.phone().client.put(path, data=data, headers={"X-Seamwalk": "1"}).status_code


def send_part(site: Site) -> int:
    data = photo()
    path = f"/api/v1/books/{site.book}/blobs/{sha256_hex(data)}/part?at=0&total={len(data)}"
    return site.phone().client.put(path, data=data, headers={"X-Seamwalk": "1"}).status_code


def change_password(site: Site) -> int:
    fields = {"password": "heron quiet lamp wet", "new_password": "copper tulip anvil dusk"}
    return send(logged_in(site), "/office/account/password", **fields).status_code


def watch(site: Site, monkeypatch: pytest.MonkeyPatch, module: ModuleType, work: str) -> list[bool]:
    """Whether somebody wrote, each time that a function is called."""
    worked_out = getattr(module, work)
    held_up: list[bool] = []

    def watched(*given: Any, **named: Any) -> Any:
        held_up.append(site.store._writing.locked())
        return worked_out(*given, **named)

    monkeypatch.setattr(module, work, watched)
    return held_up


@pytest.mark.parametrize(
    ("module", "work", "act", "code"),
    [
        (planning, "freeze_plan", plan, 302),
        (listing, "stock_file", lambda site: give(site, "stock"), 302),
        (listing, "show_prep", lambda site: give(site, "prep"), 302),
        (stock, "read_stock", take_list, 200),
        (labels, "sign_many", take_list, 200),
        (blobs, "check_photo", send_photo, 201),
        (blobs, "check_photo", send_part, 200),
        (passwords, "hash_password", change_password, 302),
    ],
)
def test_what_takes_long_keeps_nobody_from_writing(
    site: Site,
    monkeypatch: pytest.MonkeyPatch,
    module: ModuleType,
    work: str,
    act: Callable[[Site], int],
    code: int,
) -> None:
    held_up = watch(site, monkeypatch, module, work)
    assert act(site) == code
    assert held_up
    assert not any(held_up)


def test_entries_of_a_phone_are_read_before_they_are_taken_in(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = site.phone()
    plan, file = phone.plan("A")
    phone.write("found", {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}, NOW)
    held_up = watch(site, monkeypatch, texts, "read_entry")
    assert "kept" in phone.sync()
    assert held_up == [False]


def overtake(monkeypatch: pytest.MonkeyPatch, times: int, act: Callable[[], object]) -> list[None]:
    """Let something happen each time right after a stock list was worked out."""
    file = listing.stock_file
    made: list[None] = []

    def overtaken(*given: Any) -> bytes:
        found = file(*given)
        made.append(None)
        if len(made) <= times:
            act()
        return found

    monkeypatch.setattr(listing, "stock_file", overtaken)
    return made


def test_a_list_that_is_overtaken_is_worked_out_anew(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    house = Warehouse(site)
    house.stock(1)
    house.phone("Wim")
    made = overtake(monkeypatch, 1, lambda: house.see("Wim", 1, 1))
    counts = listing.publish(
        site.store, lambda session: [listing.freeze_stock(session, site.book)], site.clock[0]
    )
    assert (counts, len(made)) == ([3], 2)
    with site.store.read() as session:
        assert b'"here"' in listing.stock_file(session, site.book)


def test_findings_do_not_overtake_a_list(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    phone = site.phone()
    plan, file = phone.plan("A")
    body = {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}

    def find() -> None:
        phone.write("found", body, site.clock[0])
        phone.sync()

    made = overtake(monkeypatch, 1, find)
    listing.publish(site.store, lambda session: [listing.freeze_stock(session, site.book)], site.clock[0])
    assert len(made) == 1


def test_a_list_that_never_stands_is_not_given(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    house = Warehouse(site)
    made = overtake(monkeypatch, 9, lambda: house.stock(1))
    with pytest.raises(Conflict, match="faster than its list"):
        listing.publish(site.store, lambda session: [listing.freeze_stock(session, site.book)], site.clock[0])
    assert len(made) == 3


def test_a_stock_list_that_was_overtaken_is_sent_again(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    house = Warehouse(site)

    def overtaken(*given: Any) -> Any:
        reading = read_stock(*given)
        house.stock(1)
        return reading

    with monkeypatch.context() as patched:
        patched.setattr(stock, "read_stock", overtaken)
        assert post_list(site).status_code == 409
    assert len(json.loads(logged_in(site).get("/office/things/found.json").text)) == 3
    assert take_list(site) == 200
