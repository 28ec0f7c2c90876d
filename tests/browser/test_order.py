"""A tap ahead of its turn gives a reason, a stop holds until it is let go; strike and power tests."""

import pytest
from playwright.sync_api import Page, expect

from browser.steps import SUPPLIED, home, invite, join, look, ok, ok_all, open_show, walk, write_fault
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser

LOCKS = "A/side/1.1/2.1/locks:2"


def sync(page: Page) -> None:
    page.get_by_role("button", name="Sync").click()
    expect(page.locator("[data-test=strip]")).to_have_attribute("data-unsent", "0")


def test_a_tap_ahead_of_its_turn_says_what_is_missing_and_why(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "crew"), "Mika")
    walk(page, "second_look")
    ok(page)
    expect(page.get_by_role("heading", name="Ahead of its turn")).to_be_visible()
    expect(page.locator("[data-test=missing]")).to_contain_text("locks")
    expect(page.get_by_text("No reason replaces another person's look")).to_be_visible()
    look(page, "ahead")
    page.locator("[data-test=write-ahead]").click()
    expect(page.get_by_text("Pick a reason")).to_be_visible()
    page.locator("label.choice", has_text="this phone does not know yet").click()
    page.locator("label.choice", has_text="for the rest of this walk").click()
    page.locator("[data-test=write-ahead]").click()
    expect(page.locator("[data-test=kept-reason]")).to_be_visible()
    look(page, "walk-kept-reason")
    ok_all(page)
    home(page)
    page.get_by_role("link", name="Sign-off").click()
    expect(page.locator("[data-test=ahead]")).to_be_visible()
    look(page, "sign-ahead")


@pytest.mark.long
def test_a_stop_holds_its_columns_until_it_is_mended_and_let_go(
    server: Server, phone: Window, mate: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    person = join(mate, invite(office, server.url, "competent_person"), "Ines")
    for key in ("load_in", "base"):
        walk(page, key)
        ok_all(page)
        home(page)
    walk(page, "build")
    page.get_by_role("button", name="Next").click()
    write_fault(page, LOCKS, "Stop", "Lock open", "")
    expect(page.locator(f'[data-check="{LOCKS}"]')).to_have_attribute("data-state", "fault")
    expect(page.get_by_role("link", name="Stop: what to do, whom to call")).to_be_visible()
    page.get_by_role("button", name="Next").click()
    held = page.locator('[data-check="A/side/2.1/3.1/locks:2"]')
    held.locator(".name").click()
    held.locator("[data-test=check-ok]").click()
    expect(page.get_by_text("Held by a stop")).to_be_visible()
    look(page, "ahead-held")
    page.get_by_role("button", name="Back").click()
    home(page)
    page.locator("[data-test=stop] a").first.click()
    look(page, "stops")
    expect(page.locator("[data-test=release]")).to_have_count(0)
    page.locator("[data-test=stop-place]").click()
    page.locator(f'[data-check="{LOCKS}"] [data-test=check-ok]').click()
    expect(page.locator(f'[data-check="{LOCKS}"]')).to_have_attribute("data-state", "ok")
    home(page)
    expect(page.locator("[data-test=stop]").first).to_be_visible()
    sync(page)

    sync(person)
    person.locator("[data-test=stop] a").first.click()
    person.locator("[data-test=release]").click()
    person.locator("[data-test=release]").click()
    expect(person.get_by_text("No stop stands.")).to_be_visible()
    sync(person)
    sync(page)
    expect(page.locator("[data-test=stop]")).to_have_count(0)
    office.goto(f"{server.url}/office/shows/night-show/log")
    expect(office.get_by_text("the competent person let the crew go on")).to_be_visible()


@pytest.mark.long
def test_the_strike_is_opened_and_a_power_test_is_shown_to_all(
    server: Server, phone: Window, mate: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": SUPPLIED})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    other = join(mate, invite(office, server.url, "crew"), "Mika")
    page.get_by_role("link", name="Power test").click()
    page.get_by_role("button", name="It is on now").first.click()
    expect(page.locator("[data-test=circuit]").first).to_have_attribute("data-live", "true")
    look(page, "power-test")
    home(page)
    expect(page.locator("[data-test=live]")).to_contain_text("C1")
    sync(page)
    sync(other)
    expect(other.locator("[data-test=live]")).to_contain_text("C1")
    walk(other, "load_in")
    expect(other.locator("[data-test=live]")).to_contain_text("C1")
    look(other, "walk-live")
    home(other)

    other.get_by_role("link", name="Open the strike").click()
    expect(other.get_by_text("The crew chief opens the strike")).to_be_visible()
    expect(other.locator("[data-test=open-strike]")).to_have_count(0)
    page.get_by_role("link", name="Open the strike").click()
    page.locator("[data-test=open-strike]").click()
    expect(page.get_by_text("Say why it comes down.")).to_be_visible()
    page.locator("label.choice", has_text="Weather").click()
    page.locator("label.choice", has_text="The whole wall").click()
    look(page, "strike")
    page.locator("[data-test=open-strike]").click()
    expect(page.locator("[data-test=walk-strike]")).to_be_visible()
