"""What is half-entered is neither written as something else nor dropped without a question."""

import re

import pytest
from playwright.sync_api import Page, expect

from browser.steps import invite, join, look, open_show, unsent, walk
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser

CORNER = "[data-test=side-front] [data-part='corner:top_left']"
EDGE = "[data-test=side-front] [data-part='edge:top']"


def asks(page: Page, answer: str) -> None:
    """The question is on the screen; answer it."""
    expect(page.locator("[data-test=half-entered]")).to_be_visible()
    look(page, "half-entered")
    page.locator(f"[data-test=half-{answer}]").click()
    expect(page.locator("[data-test=half-entered]")).to_have_count(0)


def go(page: Page, address: str) -> None:
    page.evaluate("address => { location.hash = address; }", address)


def test_a_damage_is_never_written_as_sound(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "warehouse"), "Wim", ready="cases-return")
    book = page.url.partition("#home/")[2]
    go(page, f"scan/{book}")
    go(page, f"look/{book}/return/HQT00001M")
    sound, write = page.locator("[data-test=write-sound]"), page.locator("[data-test=write-look]")
    expect(sound).to_be_disabled()
    for side in ("Front", "Rear"):
        page.locator("label.choice", has_text=side).click()
    expect(sound).to_be_enabled()
    page.locator(CORNER).click()
    expect(sound).to_have_count(0)
    page.locator("[data-test=unsaid]").click()
    expect(page.locator("[data-test=damage-form]")).to_be_in_viewport()
    page.locator("[data-test=no-damage]").click()
    expect(sound).to_be_enabled()

    # chosen is marked, and a second part does not take the first one's words
    page.locator(CORNER).click()
    page.get_by_text("Chipped").click()
    expect(write).to_contain_text("1 damaged")
    page.locator(EDGE).click()
    expect(page.locator("[data-test=unsaid]")).to_be_visible()
    page.get_by_text("Bent", exact=True).click()
    expect(page.locator("[data-test=damage] li")).to_have_text(
        [re.compile("corner.*Chipped"), re.compile("edge.*Bent")]
    )
    look(page, "look-half")

    # every way out asks
    page.get_by_role("link", name="Back").click()
    asks(page, "stay")
    page.go_back()
    asks(page, "stay")
    expect(write).to_contain_text("2 damaged")
    write.click()
    unsent(page, 0)
    expect(page.locator("[data-test=found]")).to_be_visible()


def test_a_case_is_not_shut_over_a_code_that_was_typed_and_not_taken(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    office.goto(f"{server.url}/office/shows/night-show")
    office.get_by_role("button", name="Give phones the stock list").click()
    page = join(phone, invite(office, server.url, "warehouse"), "Wim", ready="cases-return")
    book = page.url.partition("#home/")[2]
    go(page, f"case/{book}/return/HQC000017")
    shut = page.locator("[data-test=shut-case]")
    expect(shut).to_be_enabled()
    page.get_by_label("Or type the code").fill("HQ-T-0000")
    expect(shut).to_be_disabled()
    expect(shut).to_contain_text("First look up what you typed")
    page.get_by_role("link", name="Back").click()
    asks(page, "drop")
    expect(page.locator("[data-test=scan-case]")).to_be_visible()


def test_faults_and_procedures_are_not_dropped_without_a_question(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "crew"), "Mika")
    book = page.url.partition("#home/")[2]
    walk(page, "load_in")
    page.locator("[data-test=fault]").first.click()
    page.locator("label.choice", has_text="Before show").first.click()
    page.locator("[data-test=leave]").click()
    asks(page, "stay")
    expect(page.locator("label.choice", has_text="Before show").locator("input")).to_be_checked()
    page.locator("[data-test=leave]").click()
    asks(page, "drop")
    expect(page.locator("[data-test=place]")).to_be_visible()

    # what was said is kept while one goes a step back, and leaving asks
    go(page, f"act/{book}/incident/show")
    page.locator("[data-test=choice]").first.click()
    while page.locator("[data-test=words]").count() == 0:
        page.locator("[data-test=choice]").first.click()
    page.locator("[data-test=words]").fill("Told the chief at the left wing")
    page.locator("[data-test=choice]").first.click()
    page.locator("[data-test=step-back]").click()
    expect(page.locator("[data-test=words]")).to_have_value("Told the chief at the left wing")
    page.locator("[data-test=leave]").click()
    asks(page, "drop")
    expect(page.locator("[data-test=place]")).to_be_visible()
    unsent(page, 0)
