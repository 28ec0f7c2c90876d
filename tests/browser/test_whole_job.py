"""The whole job in real browsers: plan, join, walk offline, be killed, sync, sign, print, lapse, verify."""

import json
from pathlib import Path
from typing import Any

import pytest
from jwcrypto.jwk import JWK
from jwcrypto.jws import JWS
from playwright.sync_api import Browser as Chromium
from playwright.sync_api import Page, expect

from browser.steps import (
    WIPES,
    home,
    invite,
    join,
    look,
    ok,
    ok_all,
    open_show,
    tile_by_tile,
    unsent,
    walk,
    write_fault,
)
from browser.windows import Browser, Context, Window
from real_server import Server

pytestmark = pytest.mark.browser


# how many OKs the wall's base bars take
BARS = 3


def walk_offline(page: Page) -> None:
    """One tile ok, one not reached, one fault, a joint taken back, and once more."""
    walk(page, "load_in")
    look(page, "walk-case")
    tile_by_tile(page)
    look(page, "walk")
    page.locator("[data-test=how]").click()
    look(page, "how")
    page.get_by_role("button", name="Leave the steps").click()
    page.locator("[data-test=ok]").click()
    unsent(page, 1)
    page.locator("[data-test=check] .name").first.click()
    page.locator("[data-test=not-reached]").first.click()
    unsent(page, 2)
    home(page)
    walk(page, "base")
    ok_all(page)
    unsent(page, 2 + BARS)
    home(page)
    walk(page, "build")
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_text("2 of ")).to_be_visible()
    check = str(page.locator("[data-check*='/locks:2']").first.get_attribute("data-check"))
    write_fault(page, check, "Before show", "Gap", "2 mm at the top")
    unsent(page, 3 + BARS)
    ok(page)
    unsent(page, 4 + BARS)
    look(page, "walk-after")
    page.locator("[data-test=undo-there]").click()
    expect(page.locator("[data-test=undo]")).to_contain_text("Take back: OK: ")
    page.locator("[data-test=undo]").click()
    unsent(page, 5 + BARS)
    expect(page.locator("[data-test=undo]")).to_contain_text("Take back: Fault: ")
    ok(page)
    unsent(page, 6 + BARS)


def mend(page: Page) -> None:
    """Look at the standing fault again and answer it."""
    page.get_by_role("link", name="Sign-off").click()
    look(page, "sign-off")
    page.locator("[data-test=group]", has_text="before show").get_by_role("link", name="Go there").click()
    expect(page.locator(".standing")).to_contain_text("2 mm at the top")
    page.locator("[data-state=fault] [data-test=check-ok]").click()
    expect(page.locator("[data-state=fault]")).to_have_count(0)
    expect(page.locator("[data-test=ok]")).to_be_enabled()
    ok(page)
    expect(page.locator("[data-state=reopened]")).to_have_count(0)
    home(page)


def second_look(page: Page) -> None:
    """Look a second time at all locks that somebody else found shut."""
    walk(page, "second_look")
    look(page, "second-look")
    ok_all(page)
    unsent(page, 0)


@pytest.mark.long
def test_the_whole_job(
    server: Server, mortal_phone: Browser, mate: Window, desk: Window, tmp_path: Path
) -> None:
    office = desk.open(server.url)
    look(office, "front")
    open_show(office, server.url)
    page = join(mortal_phone, invite(office, server.url, "chief"), "Lena")
    start = f"{server.url}/phone/"

    server.stop()
    mortal_phone.close()
    page = mortal_phone.open(start)
    walk_offline(page)
    mortal_phone.kill()
    page = mortal_phone.open(start)
    unsent(page, 6 + BARS)
    home_link = page.locator("[data-test=walk-load_in]")
    expect(home_link).to_be_visible()
    page.goto(f"{start}#unsent/x")
    expect(page.locator("[data-test=unsent-groups] .places li")).to_have_count(6 + BARS)
    look(page, "unsent")
    page.goto(start)

    server.start()
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)
    for key in ("load_in", "base", "build", "guards"):
        walk(page, key)
        ok_all(page)
        home(page)
    mend(page)
    walk(page, "picture")
    ok_all(page)
    home(page)
    unsent(page, 0)
    walk(page, "second_look")
    expect(page.locator("[data-test=ok]")).to_be_disabled()
    home(page)
    second_look(join(mate, invite(office, server.url, "crew"), "Mika"))
    page.get_by_role("button", name="Sync").click()

    page.get_by_role("link", name="Sign-off").click()
    expect(page.get_by_text("Nothing is in the way.")).to_be_visible()
    page.locator("[data-test=sign]").click()
    page.locator("[data-test=sign]").click()
    expect(page.locator("[data-test=signed]")).to_have_attribute("data-lapsed", "false")
    unsent(page, 0)
    look(page, "home-signed")
    office.goto(f"{server.url}/office/shows/night-show")
    look(office, "office-show")
    office.goto(f"{server.url}/office/shows/night-show/walls/A/sheet")
    expect(office.get_by_role("heading", name="Build sheet")).to_be_visible()
    look(office, "sheet")
    office.goto(f"{server.url}/office/shows/night-show")
    office.get_by_role("link", name="Print page").click()
    expect(office.get_by_text("Standing", exact=True)).to_be_visible()
    look(office, "print")

    walk(page, "build")
    check = str(page.locator("[data-check*='/locks:2']").first.get_attribute("data-check"))
    write_fault(page, check, "Stop", "Lock open", "")
    home(page)
    expect(page.locator("[data-test=signed]")).to_have_attribute("data-lapsed", "true")
    look(page, "home-lapsed")
    unsent(page, 0)
    office.reload()
    expect(office.get_by_text("Lapsed")).to_be_visible()
    office.goto(f"{server.url}/office/shows/night-show")
    expect(office.get_by_text("Stop. Nobody lifts or stands near.")).to_be_visible()
    check_book(server, tmp_path)


def check_book(server: Server, folder: Path) -> None:
    """Our own verify takes the export; an independent JOSE library verifies every entry and the head."""
    file = folder / "book.txt"
    assert server.run("export", "night-show", "-o", str(file)).returncode == 0
    lines = [json.loads(line) for line in file.read_text().splitlines()]
    entries = [line["entry"] for line in lines if "entry" in line]
    keys: dict[str, JWK] = {}
    opened = payload_of(entries[0])["body"]
    for jwk in (opened["owner_jwk"], opened["head_jwk"]):
        keys[JWK(**jwk).thumbprint()] = JWK(**jwk)
    types = []
    for jws in entries:
        token = JWS()
        token.deserialize(jws)
        token.verify(keys[token.jose_header["kid"]])
        payload = json.loads(token.payload)
        types.append(payload["type"])
        if payload["type"] == "device_admitted":
            keys[payload["body"]["device"]] = JWK(**payload["body"]["jwk"])
    head = JWS()
    head.deserialize(next(line["head"] for line in lines if "head" in line))
    head.verify(keys[head.jose_header["kid"]])
    assert json.loads(head.payload)["size"] == len(entries)
    assert {"plan_set", "found", "withdrawn", "signed_off"} <= set(types)
    owner = JWK(**opened["owner_jwk"]).thumbprint()
    done = server.run("verify", str(file), "--trust", owner)
    assert done.returncode == 0, done.stderr
    assert "holds" in done.stdout


def payload_of(jws: str) -> dict[str, Any]:
    token = JWS()
    token.deserialize(jws)
    payload: dict[str, Any] = json.loads(token.objects["payload"])
    return payload


@pytest.mark.long
@pytest.mark.parametrize("wiped", list(WIPES))
def test_either_store_can_be_wiped_and_nothing_is_lost(
    server: Server, mortal_phone: Browser, desk: Window, wiped: str
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(mortal_phone, invite(office, server.url, "crew"), "Mika")
    start = f"{server.url}/phone/"
    server.stop()
    walk(page, "load_in")
    tile_by_tile(page)
    for count in (1, 2, 3):
        page.locator("[data-test=ok]").click()
        unsent(page, count)
    page.goto(f"{server.url}/phone/manifest.webmanifest")
    page.evaluate(WIPES[wiped])
    page.goto(start)
    expect(page.locator("[data-test=strip]")).to_have_attribute("data-unsent", "3")
    if wiped == "database":
        expect(page.get_by_text("3 entries were put back")).to_be_visible()
        expect(page.get_by_text("made a new one")).to_be_visible()
    server.start()
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)
    office.goto(f"{server.url}/office/shows/night-show/walls/A")
    expect(office.locator(".count.ok").first).to_have_text("3 OK")


def test_a_second_tab_says_so(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    join(phone, invite(office, server.url, "crew"), "Mika")
    assert phone.context is not None
    second = phone.context.new_page()
    second.goto(f"{server.url}/phone/")
    expect(second.get_by_text("open in another window")).to_be_visible()


@pytest.mark.long
def test_light_colours(server: Server, desk: Window, chromium: Chromium) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    phone = Context(chromium, "light")
    page = join(phone, invite(office, server.url, "chief"), "Light")
    page.goto(f"{server.url}/phone/#settings")
    expect(page.get_by_text("Left-handed")).to_be_visible()
    look(page, "settings-light")
    page.goto(f"{server.url}/phone/")
    walk(page, "build")
    look(page, "walk-light")
    page.locator("[data-test=how]").click()
    look(page, "how-light")
    page.get_by_role("button", name="Leave the steps").click()
    check = str(page.locator("[data-check*='/locks:2']").first.get_attribute("data-check"))
    write_fault(page, check, "Cosmetic", "Gap", "")
    look(page, "walk-fault-light")
    home(page)
    page.get_by_role("link", name="Sign-off").click()
    page.locator("h3 .tick").first.click()
    look(page, "sign-off-light")
    phone.close()
    assert phone.errors == []
    for path in ("held", "plan?wall=A"):
        office.goto(f"{server.url}/office/shows/night-show/{path}")
        look(office, f"office-{path[:4]}")
