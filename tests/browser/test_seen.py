"""An ok answers only what was on the screen: every stop of every demo wall, in every size of phone."""

import json
import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser.steps import ON_MAP, invite, join, look, ok, open_show, tap_map, unsent, write_fault
from browser.windows import Window
from real_server import Server
from seamwalk.domain.frozen import checks_file
from seamwalk.domain.wall.plan import parse_plan
from seamwalk_demo import scenario

pytestmark = pytest.mark.browser

WALLS = {"A": scenario.curved(), "B": scenario.portal()}
SIZES = ((390, 844), (360, 640), (320, 568), (844, 390))
# as many checks as fit in one hand's reach beside their place
FITS = 5

# Goes through stops and taps the main button until it is an OK, without giving that. What was visible is
# asked of the page by elementFromPoint: points all over each place and check, each of which was on top.
SEE = """async ([addresses, least, most]) => {
  const drawn = async (address) => {
    location.hash = address;
    do await new Promise((done) => setTimeout(done));
    while (!address.endsWith(`/${document.querySelector(".walk")?.dataset.at}`));
  };
  const pointsOf = ({ left, top, right, bottom }) => {
    const points = [];
    for (let y = top + 3; y < bottom - 3; y += 20)
      for (const x of [left + 3, (left + right) / 2, right - 3]) points.push([x, y]);
    for (const x of [left + 3, right - 3]) points.push([x, bottom - 3]);
    return points;
  };
  const faults = [];
  const leads = {};
  for (const address of addresses) {
    await drawn(address);
    const hidden = new Map();
    const see = () => {
      for (const element of document.querySelectorAll("[data-shows]")) {
        const points = pointsOf(element.getBoundingClientRect());
        const left = hidden.get(element.dataset.shows) ?? points.map((_, number) => number);
        const isHidden = (number) => !element.contains(document.elementFromPoint(...points[number]));
        hidden.set(element.dataset.shows, left.filter(isHidden));
      }
    };
    see();
    const ok = () => document.querySelector("[data-test=ok]");
    let taps = 0;
    while (ok().dataset.rest !== "0" && taps < 40) {
      ok().click();
      await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
      see();
      taps++;
    }
    const count = document.querySelectorAll("[data-test=check]").length;
    const ofOnePlace = document.querySelector(".checks .place, .alike") === null;
    if (taps > 0 && count <= most && ofOnePlace) leads[address] = taps;
    if (ok().dataset.rest !== "0") faults.push([address, "never an OK"]);
    const place = document.querySelector("[data-test=place]").dataset.shows;
    const answers = ok().dataset.answers?.split(" ") ?? [];
    for (const shown of answers.length > 0 ? [place, ...answers] : [])
      if (hidden.get(shown)?.length !== 0) faults.push([address, "not seen", shown]);
    if (document.documentElement.scrollWidth > innerWidth) faults.push([address, "scrolls sideways"]);
    const frame = document.querySelector(".what");
    if (frame.scrollWidth > frame.clientWidth) faults.push([address, "wider than its room"]);
    for (const target of document.querySelectorAll("button, a, summary")) {
      const { width, height } = target.getBoundingClientRect();
      const px = target.closest("header, .notices, summary") ? 48 : least;
      if (width > 0 && Math.min(width, height) < px - 0.5)
        faults.push([address, "small", target.textContent, Math.round(width), Math.round(height)]);
    }
  }
  return { faults, leads };
}"""


# What can be tapped and is smaller than asked for, or than 48 px in the page's own frame.
SMALL = """(least) => {
  const small = [];
  for (const target of document.querySelectorAll("a[href], button, summary, input, select, textarea")) {
    const area = (target.matches("[type=checkbox], [type=radio]") && target.closest("label")) || target;
    if (!area.checkVisibility() || area.closest(".unseen")) continue;
    const { width, height } = area.getBoundingClientRect();
    const px = area.closest("header, footer, .notices, summary") ? 48 : least;
    if (Math.min(width, height) < px - 0.5)
      small.push([area.textContent.trim().slice(0, 40), target.tagName, width, height].map(String));
  }
  if (document.documentElement.scrollWidth > innerWidth) small.push(["scrolls sideways"]);
  return small;
}"""


def every_stop(book: str) -> list[tuple[str, str]]:
    """Where each stop is, and what alone decides how it is laid out."""
    found = []
    for wall, source in WALLS.items():
        file = json.loads(checks_file(wall, parse_plan(source)))
        for walk in file["walks"]:
            for index, stop in enumerate(walk["stops"]):
                kinds = [file["checks"][number]["id"].rpartition("/")[2] for number in stop["checks"]]
                alike = f"{wall}/{walk['key']}/{stop['place'].partition('/')[0]}/{kinds}"
                found.append((f"#walk/{book}/{wall}/{walk['key']}/{index}", alike))
    return found


def use(page: Page, **chosen: bool | str) -> None:
    """German, and what else is set."""
    kept = {"language": "de", "left": False, "big": False, "rear": False} | chosen
    page.evaluate("kept => localStorage.setItem('seamwalk-settings', JSON.stringify(kept))", kept)
    page.reload()
    expect(page.locator("h1")).to_be_visible()


def see(page: Page, addresses: list[str], size: tuple[int, int]) -> dict[str, int]:
    """Go through the stops at a size; how often the main button led on where little enough is to fit."""
    page.set_viewport_size({"width": size[0], "height": size[1]})
    found: dict[str, Any] = page.evaluate(SEE, [addresses, 64, FITS])
    assert found["faults"] == [], (size, len(found["faults"]), found["faults"][:12])
    leads: dict[str, int] = found["leads"]
    return leads


def large_enough(page: Page, name: str, least: int = 48) -> list[Any]:
    """What of a screen a gloved thumb misses, in the largest and the smallest upright phone."""
    found = []
    for width, height in ((390, 844), (320, 568)):
        page.set_viewport_size({"width": width, "height": height})
        found += [(name, width, *small) for small in page.evaluate(SMALL, least)]
    return found


# the screen of an address, drawn and with all its folded parts open
GO = """async (address) => {
  const drawn = (done) => addEventListener("hashchange", () => setTimeout(done), { once: true });
  const arrived = new Promise(drawn);
  if (location.hash !== address) {
    location.hash = address;
    await arrived;
  }
  for (const one of document.querySelectorAll("details")) one.open = true;
}"""


def go(page: Page, address: str) -> None:
    page.evaluate(GO, address)
    expect(page.locator("h1")).to_be_visible()


def small_on_every_screen(page: Page, book: str, fault_at: str) -> list[Any]:
    """Every screen that is reached without much, its folded parts open; at 64 px what belongs to a walk."""
    found = []
    for screen in ("home", "stops", "own", "unsent", "acts", "settings", "scan", "join", "cases", "hire"):
        go(page, f"#{screen}/{book}" + ("/load_in" if screen == "cases" else ""))
        found += large_enough(page, screen)
    for screen in ("strike", "live", "sign", "quick", "test", "service", "share"):
        go(page, f"#{screen}/{book}/B" + ("/build" if screen == "share" else ""))
        found += large_enough(page, screen)
    for key in ("guards", "picture"):
        go(page, f"#pass/{book}/A/{key}")
        found += large_enough(page, f"pass {key}", 64)
    go(page, f"#act/{book}/incident/show")
    found += large_enough(page, "incident", 64)
    for opener in ("how", "fault", "check-how"):
        go(page, fault_at)
        page.locator(f"[data-test={opener}]").first.click()
        expect(page.locator("[data-test=leave]")).to_be_visible()
        found += large_enough(page, opener, 64)
        page.locator("[data-test=leave]").click()
    go(page, f"#walk/{book}/A/picture/0")
    ok(page)
    expect(page.get_by_text("Why now?")).to_be_visible()
    return found + large_enough(page, "ahead", 64)


@pytest.mark.long
def test_an_ok_answers_only_what_was_on_the_screen(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, WALLS)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    stops = every_stop(book)
    alike = {key: address for address, key in stops}
    use(page)
    for size in SIZES:
        assert see(page, list(alike.values()), size) == {}, size

    page.set_viewport_size({"width": 390, "height": 844})
    use(page, language="en")
    fault_at = next(
        address for key, address in alike.items() if key.startswith("B/build/") and "locks:2" in key
    )
    page.evaluate("address => { location.hash = address; }", fault_at)
    expect(page.locator("[data-test=ok]")).to_be_visible()
    check = str(page.locator("[data-check*='/locks:2']").first.get_attribute("data-check"))
    write_fault(page, check, "Stop", "Gap", "")
    unsent(page, 0)
    small = small_on_every_screen(page, book, fault_at)
    assert small == [], "\n".join(map(str, small))
    use(page)
    for size in SIZES:
        leads = see(page, [address for address, _ in stops], size)
        assert leads.keys() <= {fault_at}, size
    for size in SIZES:
        use(page, big=True)
        see(page, list(alike.values()), size)
        use(page, left=True)
        page.evaluate("document.documentElement.style.fontSize = '36px'")
        see(page, list(alike.values()), size)


def view_box(page: Page) -> list[float]:
    return [float(part) for part in str(page.locator("svg.map").get_attribute("viewBox")).split()]


@pytest.mark.long
def test_what_was_written_is_taken_back_where_it_was(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    server.stop()
    first, second = f"#walk/{book}/A/base/0", f"#walk/{book}/A/base/1"
    page.evaluate("address => { location.hash = address; }", first)
    button = page.locator("[data-test=ok]")
    # of two quick taps the second is none: it would answer the next stop
    button.dblclick()
    unsent(page, 1)
    expect(page).to_have_url(re.compile(second))
    page.locator("[data-test=undo-there]").click()
    expect(page).to_have_url(re.compile(first))
    page.evaluate("address => { location.hash = address; }", second)
    button.click()
    unsent(page, 2)

    # the last act of this stop, though another one is newer
    page.evaluate("address => { location.hash = address; }", first)
    place = page.locator("[data-test=place]").inner_text()
    expect(page.locator("[data-test=undo]")).to_contain_text(place)
    page.locator("[data-test=own-acts]").click()
    expect(page.locator("[data-test=own-act]")).to_have_count(2)
    look(page, "own-acts")
    page.locator("[data-test=own-act]", has_text=place).locator("[data-test=take-back]").click()
    unsent(page, 3)
    expect(page.locator("[data-test=own-act]")).to_have_count(1)
    expect(page.locator("[data-test=own-act]")).not_to_contain_text(place)

    # how and fault forms open at their top, from far below too
    page.set_viewport_size({"width": 320, "height": 480})
    page.evaluate("address => { location.hash = address; }", f"#walk/{book}/A/build/1")
    fault = page.locator("[data-test=fault]").last
    fault.scroll_into_view_if_needed()
    fault.click()
    expect(page.locator("h1")).to_be_in_viewport()
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    page.locator("[data-test=leave]").click()
    page.locator("[data-test=how]").click()
    expect(page.locator("h1")).to_be_in_viewport()
    page.locator("[data-test=leave]").click()

    # the map: larger by a double tap and by two fingers, whole again, from behind
    page.set_viewport_size({"width": 390, "height": 844})
    page.evaluate("address => { location.hash = address; }", f"#walk/{book}/A/load_in/0")
    whole = view_box(page)
    page.mouse.dblclick(*page.evaluate(ON_MAP, [2.5, 0.5]))
    expect(page.locator("[data-test=map-whole]")).to_be_visible()
    larger = view_box(page)
    assert larger[2] == pytest.approx(whole[2] / 2.5, abs=0.01)
    two_fingers(page, apart=2.0)
    page.wait_for_function(
        "w => document.querySelector('svg.map').viewBox.baseVal.width < w", arg=0.55 * larger[2]
    )
    look(page, "map-larger")
    page.locator("[data-test=map-whole]").click()
    assert view_box(page) == whole
    page.locator("[data-test=map-side]").click()
    tap_map(page, 0.5, 0.5)
    expect(page.locator("[data-test=map-go]")).to_have_text("Go to: Tile in column 3, row 2")


def two_fingers(page: Page, apart: float) -> None:
    """Two fingers on the map go apart to so many times their distance."""
    box = page.locator("svg.map").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)
    steps = [30 * (1 + (apart - 1) * step / 4) for step in range(1, 5)]
    for kind, half in (("touchStart", 30.0), *(("touchMove", step) for step in steps), ("touchEnd", None)):
        points = [] if half is None else [{"x": x - half, "y": y, "id": 1}, {"x": x + half, "y": y, "id": 2}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
