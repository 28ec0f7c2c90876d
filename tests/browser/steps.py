"""What people do in the browser tests: the office plans and invites, phones join, walk and write faults."""

import json
import os
from functools import cache
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from browser.windows import Window
from helpers import PASSWORD, PLAN, SUPPLY

AXE = Path(__file__).parents[2] / "static" / "node_modules" / "axe-core" / "axe.min.js"
WALL = PLAN | {"columns": 3, "rows": 2, "clamp_rows": [2], "support_columns": [1, 3], "reference": "invented"}

SUPPLIED = WALL | {"supply": SUPPLY}

# what a browser may lose by itself
WIPES = {
    "database": "new Promise((done) => { indexedDB.deleteDatabase('seamwalk').onsuccess = done; })",
    "log": "navigator.storage.getDirectory().then((d) => d.removeEntry('entries.log'))",
}


@cache
def _axe() -> str:
    return AXE.read_text()


def look(page: Page, name: str) -> None:
    """No screen may have an accessibility fault; screenshots go where the environment says."""
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(_axe())
    found = page.evaluate("axe.run({resultTypes: ['violations']})")["violations"]
    faults = [(item["id"], [node["html"] for node in item["nodes"]]) for item in found]
    assert not faults, (name, faults)
    folder = os.environ.get("SEAMWALK_SCREENSHOTS")
    if folder:
        for width, height in ((390, 844), (1280, 800)):
            page.set_viewport_size({"width": width, "height": height})
            page.screenshot(path=f"{folder}/{name}-{width}.png")
        page.set_viewport_size({"width": 390, "height": 844})


_looked: set[tuple[str, bool]] = set()


def look_once(page: Page, name: str) -> None:
    """A screen that every test passes on its way is looked at by the first of them, in light and in dark."""
    screen = name, bool(page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches"))
    if screen not in _looked:
        _looked.add(screen)
        look(page, name)


def unsent(page: Page, count: int) -> None:
    expect(page.locator("[data-test=strip]")).to_have_attribute("data-unsent", str(count))


def log_in(page: Page, url: str) -> None:
    page.goto(f"{url}/office/")
    page.get_by_label("Login").fill("anna")
    page.get_by_label("Password").fill(PASSWORD)
    look_once(page, "office-login")
    page.get_by_role("button", name="Log in").click()


def open_show(page: Page, url: str, walls: dict[str, dict[str, Any]] | None = None) -> None:
    """Log in, open a show and plan its walls."""
    log_in(page, url)
    page.get_by_role("link", name="Open a new show").click()
    page.get_by_label("Name of the show").fill("Night Show")
    page.get_by_label("Short name").fill("night-show")
    page.get_by_role("button", name="Open its book").click()
    for key, plan in (walls or {"A": WALL}).items():
        page.goto(f"{url}/office/shows/night-show")
        page.get_by_role("link", name="Plan as JSON").click()
        page.get_by_label("Wall key").fill(key)
        page.get_by_label("Plan", exact=True).fill(json.dumps(plan))
        page.get_by_role("button", name="Set this plan").click()
        expect(page.get_by_role("heading", name=f"Wall {key}")).to_be_visible()
        (look if walls else look_once)(page, "office-wall")


def invite(page: Page, url: str, role: str) -> str:
    page.goto(f"{url}/office/shows/night-show/invite")
    page.get_by_label("Role").select_option(role)
    page.get_by_role("button", name="Make an invite").click()
    look_once(page, f"office-invite-{role}")
    return str(page.locator(".link a").get_attribute("href"))


def join(browser: Window, link: str, name: str, ready: str = "walk-load_in") -> Page:
    """Join by the link and wait until the app can start without network; `ready` stands on its first page."""
    page = browser.open(link)
    expect(page.get_by_label("What does the crew call you?")).to_be_visible()
    look_once(page, "join")
    page.get_by_label("What does the crew call you?").fill(name)
    page.get_by_role("button", name="Join").click()
    expect(page.locator(f"[data-test={ready}]").first).to_be_visible()
    page.wait_for_function("navigator.serviceWorker.controller !== null")
    look_once(page, f"home-{name}")
    return page


def walk(page: Page, key: str) -> None:
    """Open a walk; one that is a pass is opened stop by stop."""
    page.locator(f"[data-test=walk-{key}]").first.click()
    if key in ("guards", "picture"):
        page.locator("[data-test=one-by-one]").click()
    expect(page.locator("[data-test=place]")).to_be_visible()


def tile_by_tile(page: Page) -> None:
    """At load-in, look at one tile at a time."""
    less = page.get_by_role("button", name="One tile less at a look")
    while less.is_enabled():
        less.click()


def home(page: Page) -> None:
    page.get_by_role("link", name="Back").click()
    expect(page.get_by_role("heading", name="Night Show")).to_be_visible()


# where on the screen a point of the wall's map is, in cells from its upper left corner
ON_MAP = """([x, y]) => {
  const at = new DOMPoint(x, y).matrixTransform(document.querySelector("svg.map").getScreenCTM());
  return [at.x, at.y];
}"""


def tap_map(page: Page, x: float, y: float) -> None:
    """Tap a point of the map, in cells from the wall's upper left corner."""
    page.mouse.click(*page.evaluate(ON_MAP, [x, y]))


# an answer is kept, and the stop that it led to is on the screen
DRAWN = """() => {
  const walk = document.querySelector(".walk");
  return walk?.ariaBusy === "false" && location.hash.endsWith("/" + walk.dataset.at);
}"""


# lets the main button lead on until it is an OK; looks and taps at once, for it may become one in between
LED_ON = """(test) => {
  const button = document.querySelector(`[data-test=${test}]`);
  if (button?.dataset.rest !== "0") button?.click();
  return button?.dataset.rest === "0";
}"""


def ok(page: Page, button: str = "ok") -> None:
    """Tap OK once all of the stop, or of the pass, was on the screen."""
    page.wait_for_function(LED_ON, arg=button)
    page.locator(f"[data-test={button}]").click()


def ok_all(page: Page) -> None:
    """Tap OK until the walk is done."""
    button = page.locator("[data-test=ok]")
    page.wait_for_function(DRAWN)
    while button.is_enabled():
        button.click()
        page.wait_for_function(DRAWN)


def write_fault(page: Page, check: str, weight: str, reason: str, note: str) -> None:
    row = page.locator(f'[data-check="{check}"]')
    row.locator("[data-test=fault]").click()
    page.locator("label.choice", has_text=weight).first.click()
    page.locator("label.choice", has_text=reason).first.click()
    page.get_by_label("More, if it helps").fill(note)
    look(page, "fault")
    page.locator("[data-test=write-fault]").click()
    if weight == "Stop":
        look_once(page, "stop-told")
        page.locator("[data-test=told]").click()
    expect(row).to_have_attribute("data-state", "fault")


def write_contacts(office: Page, url: str) -> None:
    office.goto(f"{url}/office/shows/night-show/contacts")
    office.get_by_label("Name, role, number").fill("Vera Tann, show caller, +49 30 5550177")
    look(office, "office-contacts")
    office.get_by_role("button", name="Keep these contacts").click()
