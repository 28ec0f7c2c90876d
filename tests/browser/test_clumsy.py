"""Clumsy thumbs: a double tap confirms nothing, goes nowhere, and nothing is chosen beforehand."""

import re

import pytest
from playwright.sync_api import Page, expect

from browser.steps import ON_MAP, WALL, home, invite, join, look, ok, ok_all, open_show, tap_map, walk
from browser.thumb import tap_often, taps
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser

SIZES = ((390, 844), (320, 568))
COLUMN_2 = "A/tile/2.1/condition:sound"
# whether something lies on an element, or cuts it off
COVERED = """element => {
  const { left, top, right, bottom } = element.getBoundingClientRect();
  const middle = (left + right) / 2;
  return [top + 2, bottom - 2].some((y) => !element.contains(document.elementFromPoint(middle, y)));
}"""


def sync(page: Page) -> None:
    page.get_by_role("button", name="Sync").click()
    expect(page.locator("[data-test=strip]")).to_have_attribute("data-unsent", "0")


def written(page: Page) -> int:
    return int(str(page.locator("[data-test=strip]").get_attribute("data-unsent")))


def go(page: Page, address: str) -> None:
    page.evaluate("address => { location.hash = address; }", address)


def write_stop(page: Page, check: str) -> None:
    page.locator(f'[data-check="{check}"] [data-test=fault]').click()
    page.locator("label.choice", has_text="Stop").first.click()
    page.locator(".reasons label.choice").first.click()


def tap_twice_on_map(page: Page, x: float, y: float, gap_ms: int) -> None:
    """A double tap at a point of the map, in cells from the wall's upper left corner."""
    across, down = page.evaluate(ON_MAP, [x, y])
    taps(page, across, down, (gap_ms,))


def tile_stop(page: Page, book: str) -> None:
    """At the stop of load-in that column 2 is of."""
    go(page, f"walk/{book}/A/load_in/1")
    expect(page.locator(f'[data-check="{COLUMN_2}"]')).to_be_visible()


@pytest.mark.long
def test_a_double_tap_tells_nobody_and_lets_nobody_go_on(
    server: Server, phone: Window, mate: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    mika = join(phone, invite(office, server.url, "crew"), "Mika")
    lena = join(mate, invite(office, server.url, "chief"), "Lena")
    book = mika.url.partition("#home/")[2]
    tile_stop(mika, book)
    write_stop(mika, COLUMN_2)
    tap_often(mika.locator("[data-test=write-fault]"), 120)
    told = mika.locator("[data-test=told]")
    expect(told).to_be_enabled()
    expect(mika.get_by_text("Tell everybody aloud")).to_be_visible()
    told.click()
    expect(mika.locator("[data-test=undo]")).to_be_visible()
    expect(mika.locator("[data-test=own-acts]")).to_have_count(0)  # one entry, not two
    mika.locator(f'[data-check="{COLUMN_2}"] [data-test=check-ok]').click()
    expect(mika.locator(f'[data-check="{COLUMN_2}"]')).to_have_attribute("data-state", "ok")
    home(mika)
    sync(mika)
    sync(lena)

    go(lena, f"stops/{book}")
    release = lena.locator("[data-test=release]")
    for gap_ms in (100, 180):
        tap_often(release, gap_ms)
        expect(release).to_have_text("Tap again: the crew goes on")
        expect(release).to_be_enabled()
        lena.reload()
    tap_often(release, 100)
    expect(release).to_be_enabled()
    tap_often(release, 100, 100)
    expect(lena.get_by_text("No stop stands.")).to_be_visible()
    home(lena)
    sync(lena)
    office.goto(f"{server.url}/office/shows/night-show/log")
    expect(office.get_by_text("the crew chief let the crew go on")).to_have_count(1)


def test_a_double_tap_drops_nothing_and_takes_back_one_act(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    server.stop()
    walk(page, "base")
    ok_all(page)
    go(page, f"own/{book}")
    acts = page.locator("[data-test=own-act]")
    many = acts.count()
    assert many >= 2
    tap_often(acts.first.locator("[data-test=take-back]"), 120, 120)
    expect(acts).to_have_count(many - 1)
    expect(acts.first.locator("[data-test=take-back]")).to_be_enabled()
    expect(acts).to_have_count(many - 1)

    tile_stop(page, book)
    page.locator("[data-test=fault]").first.click()
    page.locator("label.choice", has_text="Before show").first.click()
    page.set_viewport_size({"width": 390, "height": 568})
    tap_often(page.locator("[data-test=leave]"), 120)
    expect(page.locator("[data-test=half-drop]")).to_be_enabled()
    page.locator("[data-test=half-stay]").click()
    expect(page.locator("label.choice", has_text="Before show").locator("input")).to_be_checked()


@pytest.mark.long
def test_a_double_tap_on_the_map_makes_it_larger(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL | {"columns": 9, "rows": 4, "support_columns": [1, 9]}})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    drawn = page.locator("svg.map")
    for gap_ms in (60, 90, 120, 200):
        for x, y in ((4.0, 1.5), (8.6, 0.2), (4.5, 3.8)):
            go(page, f"home/{book}")
            walk(page, "build")
            address = page.url
            whole = str(drawn.get_attribute("viewBox")).split()[2]
            tap_twice_on_map(page, x, y, gap_ms)
            expect(page.locator("[data-test=map-whole]")).to_be_enabled()
            assert page.locator("[data-test=map-go]").count() == 0, (gap_ms, x, y)
            assert page.url == address, (gap_ms, x, y)
            now = str(drawn.get_attribute("viewBox")).split()[2]
            assert float(now) == pytest.approx(float(whole) / 2.5, abs=0.01), (gap_ms, x, y)
    larger_in_all_sizes(page)

    # one tap names the spot; only a later one on its name goes there
    page.locator("[data-test=map-whole]").click()
    tap_map(page, 2.0, 1.5)
    expect(page.locator("[data-test=map-go]")).to_contain_text("Between columns 2 and 3, row 3")
    expect(page.locator("svg.map .numbers")).to_contain_text("3")
    look(page, "map-picked-joint")
    spot, button = (
        page.locator("svg.map .picked").bounding_box(),
        page.locator("[data-test=map-go]").bounding_box(),
    )
    assert spot is not None
    assert button is not None
    assert spot["y"] + spot["height"] <= button["y"] + 1
    page.locator("[data-test=map-go]").click()
    expect(page).not_to_have_url(re.compile(f"{re.escape(address)}$"))


def larger_in_all_sizes(page: Page) -> None:
    """A map that is larger shows numbers of its columns and rows, and no button lies on it."""
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        tap_twice_on_map(page, 4.5, 2.0, 100)
        whole = page.locator("[data-test=map-whole]")
        expect(whole).to_be_enabled()
        numbers = page.locator("svg.map .numbers text")
        assert numbers.count() >= 3
        frame, strip = page.locator("svg.map").bounding_box(), whole.bounding_box()
        assert frame is not None
        assert strip is not None
        assert strip["y"] + strip["height"] <= frame["y"] + 0.5
        for box in (number.bounding_box() for number in numbers.all()):
            assert box is not None
            assert frame["x"] - 1 <= box["x"] <= box["x"] + box["width"] <= frame["x"] + frame["width"] + 1
            assert frame["y"] - 1 <= box["y"] + box["height"] / 2 <= frame["y"] + frame["height"] + 1
        look(page, f"map-numbers-{width}")
        page.set_viewport_size({"width": width, "height": height})
    page.set_viewport_size({"width": 390, "height": 844})
    tap_twice_on_map(page, 4.5, 2.0, 100)


@pytest.mark.long
def test_looking_again_ahead_of_its_turn_asks_for_a_reason(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL | {"columns": 6, "rows": 4, "support_columns": [1, 6]}})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    server.stop()  # what is written stays unsent, and can be counted
    walk(page, "second_look")
    ok(page)
    page.locator("label.choice", has_text="this phone does not know yet").click()
    page.locator("label.choice", has_text="for the rest of this walk").click()
    page.locator("[data-test=write-ahead]").click()
    expect(page.locator("[data-test=kept-reason]")).to_be_visible()
    ok_all(page)
    page.reload()  # what was given for the rest of the walk ends with the page
    go(page, f"quick/{book}/A")
    places = page.locator("[data-test=quick-place]")
    expect(places.first).to_be_visible()
    many = places.count()
    before = written(page)
    places.first.locator("[data-test=looked-again]").click()
    expect(page.get_by_role("heading", name="Ahead of its turn")).to_be_visible()
    expect(page.locator("[data-test=missing]")).to_be_visible()
    assert written(page) == before
    page.locator("label.choice", has_text="this phone does not know yet").click()
    page.locator("[data-test=write-ahead]").click()
    expect(page.locator("[data-test=quick-places], [data-test=quick-none]").first).to_be_visible()
    expect(places).to_have_count(many - 1)
    server.start()
    go(page, f"home/{book}")
    sync(page)
    office.goto(f"{server.url}/office/shows/night-show/walls/A")
    expect(office.get_by_role("heading", name="Ahead of their turn")).to_be_visible()


@pytest.mark.long
def test_whoever_gets_no_stretch_is_told(server: Server, phone: Window, mate: Window, desk: Window) -> None:
    office = desk.open(server.url)
    row = WALL | {"columns": 9, "rows": 1, "clamp_rows": [1], "support_columns": [1, 9]}
    open_show(office, server.url, {"A": row})
    join(mate, invite(office, server.url, "crew"), "Mika")
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    sync(page)
    go(page, f"share/{book}/A/second_look")
    expect(page.locator("[data-test=share]")).to_be_disabled()
    for name in ("Lena", "Mika"):
        page.locator("label.choice", has_text=name).click()
    expect(page.locator("[data-test=idle]")).to_contain_text(re.compile(r": 1\..*(Lena|Mika)"))
    page.locator("[data-test=share]").click()
    part = page.locator("[data-test=parts] li")
    expect(part).to_have_count(1)
    expect(part).to_contain_text("Row 1, columns 1 to 9, places left")
    expect(part).not_to_contain_text("from")
    expect(page.locator("[data-test=idle]")).to_be_visible()
    expect(page.locator("label.choice input:checked")).to_have_count(1)
    look(page, "share-idle")
    home(page)  # leaves without a question


def test_the_strike_is_opened_for_columns_that_are_there(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL | {"columns": 9, "rows": 2, "support_columns": [1, 9]}})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    go(page, f"strike/{book}/A")
    expect(page.locator("[data-test=open-strike]")).to_be_visible()
    expect(page.locator("input:checked")).to_have_count(0)
    page.locator("label.choice", has_text="Weather").click()
    page.locator("[data-test=open-strike]").click()
    expect(page.locator(".wrong")).to_contain_text("Say what comes down")
    page.locator("label.choice", has_text="Some columns").click()
    for start, end, words in (("8", "20", "it has columns 1 to 9"), ("5", "3", "goes backwards")):
        page.locator("[data-test=from]").fill(start)
        page.locator("[data-test=to]").fill(end)
        page.locator("[data-test=open-strike]").click()
        expect(page.locator(".wrong")).to_contain_text(words)
        expect(page.locator(".wrong")).to_be_in_viewport()
    look(page, "strike-wrong")
    page.locator("[data-test=from]").fill("2")
    page.locator("[data-test=to]").fill("4")
    tap_often(page.locator("[data-test=open-strike]"), 100)
    expect(page.locator("[data-test=strike-line]")).to_have_text("Strike open: columns 2 to 4")
    look(page, "home-strike")
    go(page, f"strike/{book}/A")
    expect(page.locator("[data-test=strike-open]")).to_have_count(1)
    expect(page.locator("[data-test=strike-open]")).to_contain_text("Weather columns 2 to 4")
    look(page, "strike-opened")


def test_a_look_shows_its_questions_and_ticks_nothing(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "warehouse"), "Wim", ready="cases-return")
    book = page.url.partition("#home/")[2]
    go(page, f"look/{book}/return/HQT00001M")
    sound = page.locator("[data-test=write-sound]")
    expect(sound).to_have_text("Tick what you looked at")
    expect(sound).to_be_disabled()
    expect(page.locator("input:checked")).to_have_count(0)
    for width, height in ((360, 640), *SIZES):
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate("scrollTo(0, 0)")
        page.locator("[data-test=side-front] [data-part='corner:top_left']").click()
        form = page.locator("[data-test=damage-form]")
        expect(form.get_by_role("heading")).to_be_in_viewport()
        expect(form.get_by_text("Broken off", exact=True)).to_be_in_viewport()
        page.locator("[data-test=no-damage]").click()
        expect(page.locator("[data-test=side-front]")).to_be_in_viewport()
    page.locator("label.choice", has_text="Front").click()
    expect(sound).to_have_text("All of it sound")
    expect(sound).to_be_enabled()


def test_the_strip_lies_on_nothing_that_is_gone_to(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": WALL | {"columns": 9, "rows": 4, "support_columns": [1, 9]}})
    page = join(phone, invite(office, server.url, "client"), "Kim", ready="strip")
    book = page.url.partition("#home/")[2]
    sync(page)
    page.set_viewport_size({"width": 1280, "height": 800})
    go(page, f"sign/{book}/A")
    sign = page.locator("[data-test=sign]")
    expect(sign).to_be_visible()
    look(page, "sign-client")
    for tick in page.locator(".tick input").all():
        box = tick.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 48
    for size in ((1280, 800), *SIZES):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.evaluate("scrollTo(0, 0)")
        sign.evaluate("button => button.scrollIntoView({block: 'nearest'})")
        assert not sign.evaluate(COVERED), size
