"""How the phone begins: one page at a time has the writer."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.steps import invite, join, open_show
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser

DIST = Path(__file__).resolve().parents[2] / "static" / "dist"
CACHED = """async () => {
  const names = (await caches.keys()).filter((name) => name !== "seamwalk-lazy");
  const kept = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
  return kept.flat().map(({ url }) => new URL(url).pathname);
}"""


@pytest.mark.long
def test_a_second_page_waits_for_the_first_and_then_goes_on(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    first = join(phone, invite(office, server.url, "crew"), "Mika")
    server.stop()
    assert phone.context is not None
    second = phone.context.new_page()
    second.goto(first.url)
    expect(second.get_by_text("open in another window")).to_be_visible()
    first.close()
    expect(second.locator(".wall_card svg")).to_be_visible()
    # it was begun before its own script was read, and again by a reload that finds its own lock held
    for _ in range(5):
        second.reload()
        expect(second.locator(".wall_card svg")).to_be_visible()


@pytest.mark.long
def test_every_screen_is_there_without_a_network(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Mika")
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    built = json.loads((DIST / "build.json").read_text())["files"]
    wanted = {f"/dist/{name}" for name in built if not name.startswith(("scan", "zxing"))}
    assert wanted <= set(page.evaluate(CACHED))
    server.stop()
    home = page.url
    book = home.rsplit("/", 1)[-1]
    # also where a start begins there
    for screen, shows in (
        (f"walk/{book}/A/build/0", ".walk"),
        ("settings", "select, fieldset"),
        (f"sign/{book}/A", "main"),
        (f"unsent/{book}", "main"),
    ):
        page.goto("about:blank")
        page.goto(f"{home.partition('#')[0]}#{screen}")
        expect(page.locator(shows).first).to_be_visible()
        expect(page.locator("h1")).not_to_have_text("Seamwalk")
    page.goto("about:blank")
    page.goto(home)
    page.locator("[data-test=walk-build]").click()
    expect(page.locator(".walk")).to_be_visible()
