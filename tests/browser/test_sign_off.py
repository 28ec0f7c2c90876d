"""Signing off: what is in the way fits three screens, and taps that nobody can keep up with are listed."""

import pytest
from playwright.sync_api import Page, expect

from browser.steps import WALL, home, invite, join, look, ok_all, open_show, unsent, walk
from browser.thumb import tap_often
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser

OPEN = WALL | {"columns": 6, "rows": 3, "support_columns": [1, 6]}
SIZES = ((390, 844), (320, 568), (1280, 800))
# what is wider than the screen
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
SMALL = """[...document.querySelectorAll('main a, main button, main summary, main .tick')]
  .filter((node) => node.checkVisibility() && node.getBoundingClientRect().height < 47.5)
  .map((node) => node.outerHTML.slice(0, 90))"""


def fits(page: Page, name: str) -> None:
    """Nothing is wider than any screen, and nothing too small for a thumb."""
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate(SIDEWAYS) <= 0, (name, width)
        assert page.evaluate(SMALL) == [], (name, width)
    page.set_viewport_size({"width": 390, "height": 844})
    look(page, name)


def in_the_way(page: Page) -> int:
    return int(str(page.locator("[data-test=in-the-way]").text_content()).split(": ")[1].split()[0])


@pytest.mark.long
def test_what_is_in_the_way_fits_three_screens(
    server: Server, phone: Window, mate: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": OPEN})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    page.get_by_role("link", name="Sign-off").click()
    count = in_the_way(page)
    assert count >= 163
    assert page.evaluate("document.documentElement.scrollHeight") <= 3 * 844
    expect(page.locator("[data-walk=picture] .places a")).to_have_count(18)
    fits(page, "sign-off-open")
    expect(page.locator("[data-test=sign]")).to_be_disabled()
    expect(page.locator("[data-test=why-grey]")).to_contain_text(str(count))
    except_by_group(page, count)
    tap_often(page.locator("[data-test=sign]"), 100)  # a double tap asks, and signs nothing
    expect(page.locator("[data-test=sign]")).to_have_text("Tap again to sign")
    expect(page.locator("[data-test=signed]")).to_have_count(0)
    page.locator("[data-test=sign]").click()
    expect(page.locator("[data-test=signed]")).to_have_attribute("data-lapsed", "false")
    unsent(page, 0)

    other = join(mate, invite(office, server.url, "crew"), "Mika")
    other.get_by_role("link", name="Sign-off").click()
    assert in_the_way(other) == count
    expect(other.locator("[data-test=sign], [data-test=except], .tick")).to_have_count(0)
    fits(other, "sign-off-crew")
    printed(office, server.url)


def except_by_group(page: Page, count: int) -> None:
    """A sentence for one walk, another for one row; then all the rest, with the competent person's name."""
    page.locator("[data-walk=picture] h3 .tick").click()
    page.locator("[data-test=except]").click()
    expect(page.get_by_text("Say in one sentence why.")).to_be_visible()
    page.locator("[data-test=reason]").fill("No picture before noon")
    expect(page.locator("[data-test=person]")).to_have_count(0)
    page.locator("[data-test=except]").click()
    expect(page.locator("[data-test=excepted] li")).to_contain_text("No picture before noon")
    assert in_the_way(page) == count - 18
    page.locator("[data-walk=build] [data-test=group]").first.locator(".tick").click()
    page.locator("[data-test=reason]").fill("Row 1 is looked at by the rigger")
    page.locator("[data-test=except]").click()
    expect(page.get_by_text("the competent person's name is needed")).to_be_visible()
    page.locator("[data-test=person]").fill("Ida Brandt")
    page.locator("[data-test=except]").click()
    fits(page, "sign-off-excepted")
    for tick in page.locator("h3 .tick").all():
        tick.click()
    page.locator("[data-test=reason]").fill("Nothing is built yet")
    page.locator("[data-test=person]").fill("Ida Brandt")
    page.locator("[data-test=except]").click()
    expect(page.locator("[data-test=in-the-way]")).to_have_count(0)
    expect(page.get_by_text("Nothing is in the way.")).to_be_visible()


def printed(office: Page, url: str) -> None:
    office.goto(f"{url}/office/shows/night-show")
    office.get_by_role("link", name="Print page").click()
    expect(office.get_by_text("Row 1 is looked at by the rigger")).to_be_visible()
    look(office, "print-excepted")
    words = office.locator("main").inner_text()
    assert "/locks:" not in words
    assert ".000Z" not in words


@pytest.mark.long
def test_taps_that_nobody_can_keep_up(server: Server, phone: Window, desk: Window) -> None:
    """A walk in seconds: marked at once, listed place by place, looked at again or said to be tapped so."""
    office = desk.open(server.url)
    open_show(office, server.url, {"A": OPEN})
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    walk(page, "load_in")
    ok_all(page)
    expect(page.get_by_text("quicker than anybody can look")).to_be_visible()
    home(page)
    page.get_by_role("link", name="Sign-off").click()
    expect(page.locator("[data-test=quick]")).to_contain_text("Lena: Load-in: Row ")
    page.locator("[data-test=look-again]").click()
    places = page.locator("[data-test=quick-place]")
    many = places.count()
    assert many >= 10  # a case that was tapped seconds after the one before
    fits(page, "quick")
    office.goto(f"{server.url}/office/shows/night-show/walls/A")
    expect(office.get_by_role("heading", name="Quicker than anybody can look")).to_be_visible()
    expect(office.locator("[data-test=quick]")).to_contain_text(f"{many} checks")
    look(office, "office-wall-quick")
    page.wait_for_timeout(2_500)  # as long as a look at one tile takes, with the way to it
    tap_often(places.first.locator("[data-test=looked-again]"), 150, 150, 150)
    expect(places).to_have_count(many - 1)
    tap_often(page.locator("[data-test=afterwards]"), 100)
    expect(page.locator("[data-test=afterwards]")).to_be_enabled()
    expect(places).to_have_count(many - 1)
    page.locator("[data-test=afterwards]").click()
    expect(page.locator("[data-test=quick-none]")).to_be_visible()
    page.get_by_role("link", name="Back").click()
    expect(page.locator("[data-test=quick]")).to_contain_text("tapped afterwards, says Lena")
    unsent(page, 0)
