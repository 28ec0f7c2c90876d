"""A wall of ten by four from load-in to picture: how often thumbs tap, and nothing is answered unseen."""

import pytest
from playwright.sync_api import expect

from browser.steps import DRAWN, LED_ON, invite, join, ok, open_show, unsent
from browser.thumb import Thumb
from browser.windows import Window
from helpers import PLAN, TILE
from real_server import Server

pytestmark = pytest.mark.browser

MOST_TAPS = 160
HARDWARE = {"base_bar_kg": 6, "base_bar_columns": 2, "ballast_kg": 60, "support_kg": 20, "clamp_kg": 1}
WALL = PLAN | {
    "columns": 10,
    "rows": 4,
    "tile": TILE | {"guards": "edge"},
    "clamp_rows": [2, 4],
    "support_columns": [1, 4, 7, 10],
    "reference": "invented",
    "hardware": HARDWARE | {"reference": "invented"},
    "supply": {"volts": 230, "breaker_a": 16, "pf": 0.93, "phases": 3},
    "signal": {"bits": 8, "fps": 60, "port_mbps": 1000, "efficiency": 0.9, "loop": True},
}


@pytest.mark.long
def test_taps_for_ten_by_four(server: Server, phone: Window, mate: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL})
    lena = join(phone, invite(office, server.url, "chief"), "Lena")
    mika = join(mate, invite(office, server.url, "crew"), "Mika")
    first, second = Thumb(lena), Thumb(mika)
    taps = {key: first.walk(key) for key in ("load_in", "base", "build")}
    for page in (lena, mika):
        page.get_by_role("button", name="Sync").click()
    unsent(lena, 0)
    expect(mika.locator("[data-test=next]")).to_have_attribute("data-why", "second")
    taps["second_look"] = second.walk("second_look")
    taps["guards"] = first.pass_along("guards")
    taps["power"] = first.walk("power")
    taps["picture"] = first.pass_along("picture")
    print("taps of a wall of 10 x 4:", sum(taps.values()), taps)
    assert sum(taps.values()) <= MOST_TAPS


@pytest.mark.long
def test_three_walls_are_one_and_a_half_screens(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    flown = PLAN | {"columns": 8, "rows": 4, "support": "flown"}
    open_show(office, server.url, {"A": WALL, "B": PLAN, "C": flown})
    page = join(phone, invite(office, server.url, "chief"), "Lena", ready="next")
    expect(page.locator("[data-test^=wall-]")).to_have_count(3)
    expect(page.locator(".wall_picture")).to_have_count(3)
    assert page.evaluate("document.documentElement.scrollHeight / innerHeight") <= 1.5
    for size in ((390, 844), (320, 568), (1280, 800)):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0], size
    page.locator("[data-test=next]").click()
    expect(page.locator("[data-test=place]")).to_have_text("The next 8 tiles")


@pytest.mark.long
def test_a_stop_that_is_led_on_to_begins_anew(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    page.locator("[data-test=walk-load_in]").first.click()
    page.wait_for_function(DRAWN)
    at, told = page.locator(".walk"), page.locator(".told")
    # what was opened at one stop is not open at the next, which is shown from its top
    page.locator("[data-test=check] .name").first.click()
    expect(page.locator("[data-test=check-ok]")).to_have_count(1)
    page.get_by_role("button", name="Next").click()
    expect(page.locator("[data-test=check-ok]")).to_have_count(0)
    page.locator(".what").evaluate("frame => frame.scrollTo(0, frame.scrollHeight)")
    page.get_by_role("button", name="Previous").click()
    page.wait_for_function("document.querySelector('.what').scrollTop === 0")
    # several tiles in no time: it is told where the tap led to, and no further
    while not told.is_visible():
        before = at.get_attribute("data-at")
        ok(page)
        expect(at).not_to_have_attribute("data-at", before or "")
    expect(told).to_contain_text("quicker than anybody can look")
    page.get_by_role("button", name="Next").click()
    expect(told).to_be_empty()


@pytest.mark.long
def test_a_key_that_is_held_down_answers_one_stop(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": PLAN})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    page.locator("[data-test=walk-build]").click()
    page.wait_for_function(DRAWN)
    for _ in range(3):
        page.wait_for_function(LED_ON, arg="ok")
        page.locator("[data-test=ok]").focus()
        before = page.locator(".walk").get_attribute("data-at")
        page.keyboard.down("Enter")
        expect(page.locator(".walk")).not_to_have_attribute("data-at", before or "")
        after = page.locator(".walk").get_attribute("data-at")
        for _ in range(5):
            page.keyboard.down("Enter")
        page.wait_for_function(DRAWN)
        expect(page.locator(".walk")).to_have_attribute("data-at", after or "")
        page.keyboard.up("Enter")
