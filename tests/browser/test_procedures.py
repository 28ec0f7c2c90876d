"""Every procedure is walked on a phone without network, every choice of every step at least once."""

import io
import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from browser.steps import WALL, WIPES, invite, join, look, open_show, unsent, write_contacts
from browser.windows import Window
from helpers import TILE
from real_server import Server
from seamwalk.domain.frozen import checks_file
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.plan_model import Features
from seamwalk.procedures import built_in

pytestmark = pytest.mark.browser

EDITION = json.loads(built_in())
SUPPLY = {"volts": 230, "breaker_a": 16, "pf": 0.95}
SIGNAL = {"port_mbps": 1000, "efficiency": 0.9, "loop": True}
ALL = TILE | {
    "features": dict.fromkeys(Features.model_fields, True),
    "blocks_side": 1,
    "modules": {"columns": 2, "rows": 2},
    "reference": "invented",
}
HARDWARE = {"ballast_kg": 1, "reference": "invented"}
STANDING = WALL | {"tile": ALL, "columns": 2, "supply": SUPPLY, "signal": SIGNAL, "hardware": HARDWARE}
STANDING |= {"support_columns": [1]}
HANGING = {key: value for key, value in WALL.items() if key not in ("clamp_rows", "support_columns")}
HANGING |= {"columns": 2, "support": "flown"}
GUSTS = [{"gust_m_s": 8, "action": "watch the reading"}, {"gust_m_s": 12, "action": "lower it"}]
HANGING |= {"wind": {"limits": GUSTS, "reference": "invented"}}
HANGING |= {"hang": {"points_mm": [0, 500, 1000], "rated_kg": [500, 250, 500], "reference": "invented"}}
WALLS = {"A": STANDING, "H": HANGING}
# what a step of this procedure shows only where a tile has not what the walls here have
ELSEWHERE = {
    "module_swap": {"dead", "rear"},
    "tile_swap": {"out_hanging"},
    "take_down": {"unlock_hanging"},
    "lift": {"highest"},
}

# the step on the screen, asked for in one go
STEP = """() => {
  const step = document.querySelector("[data-test=step]");
  const choices = [...document.querySelectorAll("[data-test=choice]")].map((button) => button.dataset.choice);
  const asks = ["reading", "words"].filter((name) => document.querySelector(`[data-test=${name}]`));
  return step && { key: step.dataset.step, text: step.innerText, choices, asks };
}"""
# as long as a button of consequence is off after it came up (`ui/steady.tsx`), ms: nobody waits for it here
STEADY_MS = 600
ANSWERS = {"reading": "1", "words": "Told in words"}


def addresses(book: str) -> dict[str, str]:
    """Where on the phone each procedure can be walked."""
    found: dict[str, str] = {}
    for wall, source in WALLS.items():
        file = json.loads(checks_file(wall, parse_plan(source)))
        for walk in file["walks"]:
            for index, stop in enumerate(walk["stops"]):
                for number in stop["checks"]:
                    check = file["checks"][number]
                    where = f"#walk/{book}/{wall}/{walk['key']}/{index}|{check['id']}"
                    found.setdefault(file["kinds"][check["kind"]]["procedure"], where)
    for procedure in EDITION["procedures"].values():
        key = procedure["key"]
        if procedure["swaps"]:
            found[key] = f"#service/{book}/A/1.1|{procedure['swaps']}"
        elif procedure["at"]:
            found[key] = f"#act/{book}/{key}/{'show' if procedure['at'] == 'wall' else 'HQC000017'}|"
    return found


class Walker:
    """Walks procedures until every choice was made; it looks at the page alone."""

    def __init__(self, page: Page, start: str) -> None:
        self.page, self.start = page, start
        page.clock.install()
        self.made: set[tuple[str, str]] = set()
        self.ended_well: set[str] = set()

    def walk_all(self, key: str, address: str) -> None:
        """Walk one procedure again and again, each time by choices that were not made yet."""
        while True:
            self.open(address)
            self.walk_once(key, address)
            if self.made >= expected(key):
                return

    def open(self, address: str) -> None:
        where, _, what = address.partition("|")
        self.page.goto(f"{self.start}#home/x")
        self.page.goto(f"{self.start}{where}")
        if where.startswith("#walk"):
            row = self.page.locator(f'[data-check="{what}"]')
            if row.locator("[data-test=check-how]").count() == 0:
                row.locator(".name").click()
            row.locator("[data-test=check-how]").click()
        elif where.startswith("#service"):
            self.page.locator(f"[data-test=part-{what}]").click()
            for place in self.page.locator(".modules").all():
                place.locator("button").first.click()
            self.page.locator("[data-test=begin]").click()

    def walk_once(self, key: str, address: str) -> None:
        """Walk to an end, by choices that were not made yet or that lead to some."""
        while step := self.page.evaluate(STEP):
            name = f"{key}.{step['key']}"
            if not any(known.startswith(f"{key}.") for known, _ in self.made):
                look(self.page, f"step-{name}")
            number = self.next_choice(key, name, step["choices"])
            self.made.add((name, step["choices"][number]))
            for asked in step["asks"]:
                self.page.locator(f"[data-test={asked}]").fill(ANSWERS[asked])
            self.tap(key, self.page.locator("[data-test=choice]").nth(number))
            self.page.wait_for_function(f"text => ({STEP})()?.text !== text", arg=step["text"])
        self.end(key, address)

    def tap(self, key: str, button: Locator) -> None:
        """Tap as a thumb does until the procedure once ended well, then as the page hears it: much faster."""
        if key in self.ended_well:
            button.dispatch_event("click")
        else:
            button.click()

    def next_choice(self, key: str, name: str, choices: list[str]) -> int:
        for number, choice in enumerate(choices):
            if (name, choice) not in self.made:
                return number
        for number, choice in enumerate(choices):
            beyond = {(f"{key}.{step}", when) for step, when in leads_to(key, name.partition(".")[2], choice)}
            if (beyond & expected(key)) - self.made:
                return number
        return 0

    def end(self, key: str, address: str) -> None:
        """A fault is written, an act is saved; a check that went well is ok, but for a second own look."""
        if self.page.locator("[data-test=write-fault]").count():
            for tiles in self.page.locator("[data-test=which-tiles]").all():
                tiles.locator("button").first.click()
            self.page.locator("label.choice", has_text="Cosmetic").first.click()
            self.page.clock.fast_forward(STEADY_MS)
            self.page.locator("[data-test=write-fault]").click()
            expect(self.page.locator("[data-test=write-fault]")).to_have_count(0)
            return
        if address.startswith("#act"):
            expect(self.page.locator("[data-test=act-done]")).to_be_visible()
        elif address.startswith("#service"):
            expect(self.page.locator("[data-test=swapped]")).to_be_visible()
        else:
            row = self.page.locator(f'[data-check="{address.partition("|")[2]}"]')
            self.give_a_reason(row)
            if key == "second_look":
                expect(row).to_contain_text("Somebody else gives the second look.")
                expect(row).not_to_have_attribute("data-state", "ok")
            else:
                expect(row).to_have_attribute("data-state", "ok")
        self.ended_well.add(key)

    def give_a_reason(self, row: Locator) -> None:
        """An ok ahead of its turn, which most are here, is asked why."""
        early = self.page.locator("[data-test=write-ahead]")
        expect(early.or_(row).first).to_be_visible()
        if early.count():
            self.page.locator("label.choice").first.click()
            early.click()


def expected(key: str) -> set[tuple[str, str]]:
    """Every choice of every step of a procedure that tiles with all features show."""
    return {
        (f"{key}.{step['key']}", choice["when"])
        for step in EDITION["procedures"][key]["steps"]
        if step["key"] not in ELSEWHERE.get(key, ())
        for choice in step["choices"]
    }


def leads_to(key: str, step_key: str, choice: str) -> set[tuple[str, str]]:
    """Every choice that may come up after one was made."""
    steps = EDITION["procedures"][key]["steps"]
    keys = [step["key"] for step in steps]
    after = {
        step["key"]: after_step(key, step, below)
        for step, below in zip(steps, [*keys[1:], "ok"], strict=True)
    }
    chosen = next(step for step in steps if step["key"] == step_key)["choices"]
    waiting = [c["goto"] for c in chosen if c["when"] == choice and c["goto"]]
    seen: set[str] = set()
    while waiting:
        at = waiting.pop()
        if at in keys and at not in seen:
            seen.add(at)
            waiting += after[at]
    return {(step["key"], c["when"]) for step in steps if step["key"] in seen for c in step["choices"]}


@pytest.mark.long
def test_every_procedure_is_walked_without_network(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, WALLS)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    server.stop()
    walker = Walker(page, f"{server.url}/phone/")
    where = addresses(book)
    assert set(where) == set(EDITION["procedures"])
    for key, address in where.items():
        walker.walk_all(key, address)
    assert walker.ended_well == set(where)

    server.start()
    page.goto(f"{server.url}/phone/#acts/{book}")
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)
    look(page, "acts")
    page.locator("label.choice", has_text="Wall H").click()
    page.locator("[data-test=act-weather]").click()
    expect(step_on(page, "plan")).to_contain_text("From 8 m/s: watch the reading · From 12 m/s: lower it")
    answer(page, "plan_is_here")
    answer(page, "under_every_limit", "8.5")
    expect(step_on(page, "act")).to_be_visible()
    look(page, "weather-act")


def after_step(key: str, step: dict[str, Any], below: str) -> list[str]:
    """The steps that may come after one; what is not shown here leads to the one below it."""
    if step["key"] in ELSEWHERE.get(key, ()):
        return [below]
    if step["choices"]:
        return [choice["goto"] for choice in step["choices"] if choice["goto"]]
    return [step["then"] or below]


def step_on(page: Page, key: str) -> Locator:
    return page.locator(f'[data-test=step][data-step="{key}"]')


def answer(page: Page, choice: str, reading: str = "") -> None:
    if reading:
        page.locator("[data-test=reading]").fill(reading)
    page.locator(f'[data-choice="{choice}"]').click()


@pytest.mark.long
def test_whom_to_call_stands_at_the_step_that_says_call(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, WALLS)
    write_contacts(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    server.stop()
    page.locator("[data-test=incident]").click()
    page.locator("[data-test=choice]").click()
    answer(page, "somebody_hurt")
    expect(page.locator(".contacts")).to_have_count(0)
    page.locator("[data-test=choice]").click()
    expect(step_on(page, "call")).to_be_visible()
    expect(page.locator(".contacts a")).to_have_attribute("href", "tel:+49305550177")
    look(page, "incident-call")


@pytest.mark.long
def test_each_point_of_a_lift_is_read_against_its_own_limit(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, WALLS)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    server.stop()
    where, _, check = addresses(book)["lift"].partition("|")
    page.goto(f"{server.url}/phone/{where}")
    page.locator(f'[data-check="{check}"] .name').click()
    page.locator(f'[data-check="{check}"] [data-test=check-how]').click()
    while step_on(page, "load").count() == 0:
        page.locator("[data-test=choice]").first.click()
    expect(page.locator("[data-test=step]")).to_contain_text("Point 1 of 3")
    expect(page.locator(".asking")).to_contain_text("At most 500.")
    look(page, "lift-point")
    answer(page, "under_its_limit", "480")
    expect(page.locator("[data-test=step]")).to_contain_text("Point 2 of 3")
    expect(page.locator("[data-test=reading]")).to_have_value("")
    answer(page, "not_measured")
    answer(page, "under_its_limit", "500.5")
    expect(step_on(page, "over")).to_be_visible()
    look(page, "lift-over")
    page.locator("[data-test=step-back]").click()
    answer(page, "under_its_limit", "499")
    expect(step_on(page, "told")).to_be_visible()
    answer(page, "rigger_stops")
    page.locator("label.choice", has_text="Stop").first.click()
    page.locator("[data-test=write-fault]").click()
    expect(page.locator("[data-test=write-fault]")).to_have_count(0)
    server.start()
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)
    office.goto(f"{server.url}/office/shows/night-show/log")
    told = office.locator("li", has_text="Load other than expected").last
    expect(told).to_contain_text("Load at point 1: 480 kg")
    expect(told).not_to_contain_text("Load at point 2")
    expect(told).to_contain_text("Load at point 3: 499 kg")
    expect(told).to_contain_text("Within its limit · Not measured · Within its limit")
    look(office, "office-log-lift")


def photo_with_a_place() -> bytes:
    """A large JPEG that says where it was taken."""
    image = Image.effect_mandelbrot((3000, 2000), (-2, -1.2, 1, 1.2), 40).convert("RGB")
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (52.0, 31.0, 0.0), 3: "E", 4: (13.0, 24.0, 0.0)}
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif, quality=92)
    return out.getvalue()


@pytest.mark.long
def test_a_photo_goes_with_a_fault_without_the_place_it_was_taken(
    server: Server, phone: Window, mate: Window, desk: Window, tmp_path: Path
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, WALLS)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    source = tmp_path / "corner.jpg"
    source.write_bytes(photo_with_a_place())
    server.stop()
    page.locator("[data-test=walk-load_in]").first.click()
    page.locator("[data-test=fault]").first.click()
    page.locator("label.choice", has_text="Before show").first.click()
    page.locator("label.choice", has_text="Corner broken").first.click()
    page.locator("[data-test=photo-file]").set_input_files(source)
    expect(page.locator(".thumbs img")).to_be_visible()
    look(page, "fault-photo")
    page.locator("[data-test=write-fault]").click()
    expect(page.locator(".standing img")).to_be_visible()
    page.goto(f"{server.url}/phone/manifest.webmanifest")
    page.evaluate(WIPES["database"])
    page.goto(f"{server.url}/phone/")
    unsent(page, 1)
    server.start()
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)

    other = join(mate, invite(office, server.url, "crew"), "Mika")
    other.goto(f"{server.url}/phone/#walk/{other.url.partition('#home/')[2]}/A/load_in/0")
    shown = other.locator(".standing img").first
    expect(shown).to_be_visible(timeout=15_000)
    size = other.evaluate("img => [img.naturalWidth, img.naturalHeight]", shown.element_handle())
    assert size == [1600, 1067]
    with sqlite3.connect(server.folder / "seamwalk.db") as database:
        (data,) = database.execute("SELECT data FROM blobs WHERE hex(data) LIKE 'FFD8FF%'").fetchone()
    with Image.open(io.BytesIO(data)) as kept:
        assert not kept.getexif()
        assert kept.size == (1600, 1067)
