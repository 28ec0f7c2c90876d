"""A wall of ten by four from load-in to picture: how often thumbs tap, and that nothing is answered unseen."""

import pytest
from playwright.sync_api import Page, expect

from browser.steps import DRAWN, home, invite, join, open_show, unsent
from browser.windows import Browser, Window
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
# what stands on the screen now, and is covered by nothing
SHOWN = """() => {
  window.shown ??= new Set();
  for (const item of document.querySelectorAll("[data-check]")) {
    const name = item.querySelector(".name") ?? item;
    const { left, top, width, height } = name.getBoundingClientRect();
    const ends = [[left + 8, top + 8], [left + width / 2, top + height / 2], [left + 8, top + height - 8]];
    const hit = ends.every(([x, y]) => name.contains(document.elementFromPoint(x, y)));
    if (hit) window.shown.add(item.dataset.check);
  }
  return [...window.shown];
}"""


def tap_through(page: Page, key: str) -> int:
    """Walk a walk with the main button alone; how often it was tapped."""
    page.locator(f"[data-test=walk-{key}]").click()
    expect(page.locator("[data-test=place]")).to_be_visible()
    page.wait_for_function(DRAWN)
    button = page.locator("[data-test=ok]")
    taps = 0
    while button.is_enabled():
        page.evaluate(SHOWN)
        button.click()
        page.wait_for_function(DRAWN)
        taps += 1
    home(page)
    return taps


def tap_pass(page: Page, key: str) -> int:
    page.locator(f"[data-test=walk-{key}]").click()
    button = page.locator("[data-test=rest]")
    taps = 0
    while button.is_enabled():
        page.evaluate(SHOWN)
        button.click()
        taps += 1
    home(page)
    return taps


def test_taps_for_ten_by_four(server: Server, phone: Browser, mate: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL})
    lena = join(phone, invite(office, server.url, "chief"), "Lena")
    mika = join(mate, invite(office, server.url, "crew"), "Mika")
    taps = {key: tap_through(lena, key) for key in ("load_in", "base", "build")}
    for page in (lena, mika):
        page.get_by_role("button", name="Sync").click()
    unsent(lena, 0)
    taps["second_look"] = tap_through(mika, "second_look")
    taps["guards"] = tap_pass(lena, "guards")
    taps["power"] = tap_through(lena, "power")
    taps["picture"] = tap_pass(lena, "picture")
    print("taps of a wall of 10 x 4:", sum(taps.values()), taps)
    assert sum(taps.values()) <= MOST_TAPS
