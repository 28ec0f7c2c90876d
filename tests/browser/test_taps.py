"""A wall of ten by four from load-in to picture: how often thumbs tap, and nothing is answered unseen."""

import pytest
from playwright.sync_api import Locator, Page, expect

from browser.steps import DRAWN, home, invite, join, open_show, unsent
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
# what stands on the screen now, wholly and covered by nothing
SHOWN = """() => [...document.querySelectorAll("[data-shows]")].filter((element) => {
  const { left, top, right, bottom } = element.getBoundingClientRect();
  const ends = [top + 3, (top + bottom) / 2, bottom - 3].map((y) => [(left + right) / 2, y]);
  return ends.every(([x, y]) => element.contains(document.elementFromPoint(x, y)));
}).flatMap((element) => element.dataset.shows.split(" "))"""


class Thumb:
    """Taps the main button alone, and looks before each tap at what is on the screen."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0
        self.seen: set[str] = set()

    def tap(self, button: Locator) -> bool:
        """Whether the tap was an ok; it may answer only what was on the screen."""
        self.seen.update(self.page.evaluate(SHOWN))
        is_ok = button.get_attribute("data-rest") == "0"
        if is_ok:
            answers = set((button.get_attribute("data-answers") or "").split())
            assert answers <= self.seen, answers - self.seen
        button.click()
        self.taps += 1
        return is_ok

    def walk(self, key: str) -> int:
        """Walk a walk to its end; how often it was tapped."""
        before = self.taps
        self.page.locator(f"[data-test=walk-{key}]").click()
        self.page.wait_for_function(DRAWN)
        button = self.page.locator("[data-test=ok]")
        while button.is_enabled():
            self.tap(button)
            self.page.wait_for_function(DRAWN)
        home(self.page)
        return self.taps - before

    def pass_along(self, key: str) -> int:
        """Go along the wall once; how often it was tapped."""
        before = self.taps
        self.page.locator(f"[data-test=walk-{key}]").click()
        button = self.page.locator("[data-test=rest]")
        while not self.tap(button):
            pass
        expect(button).to_have_text("All looked at")
        home(self.page)
        return self.taps - before


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
