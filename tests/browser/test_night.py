"""A night in a basement: three walls, three phones without network, and what it takes to sign one."""

import pytest
from playwright.sync_api import Page, expect

from browser.steps import DRAWN, home, invite, join, ok, open_show, unsent, walk, write_fault
from browser.thumb import Thumb
from browser.windows import Window
from helpers import PLAN
from real_server import Server

pytestmark = pytest.mark.browser

STANDING = PLAN | {
    "columns": 3,
    "rows": 2,
    "clamp_rows": [2],
    "support_columns": [1, 3],
    "reference": "invented",
}
HANGING = PLAN | {"columns": 2, "rows": 2, "support": "flown"}
LOCKS = "A/side/1.1/2.1/locks:2"
SECOND = "A/side/1.1/2.1/second_look:2"


def sync(page: Page) -> None:
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)


def tool(page: Page, name: str) -> None:
    """Tap one of wall A's tools; its card is folded while somebody is wanted elsewhere."""
    card = page.locator("[data-test=wall-A]")
    if card.get_attribute("open") is None:
        card.locator("summary").first.click()
    card.get_by_role("link", name=name).click()


def in_the_way(page: Page) -> list[str]:
    """What the sign-off of wall A says is in its way, group by group; the page is left again."""
    tool(page, "Sign-off")
    expect(page.get_by_role("heading", name="Sign-off")).to_be_visible()
    groups = page.locator("[data-test=group]").all_inner_texts()
    home(page)
    return groups


def build_without_network(lena: Page, mika: Page) -> None:
    """Lena builds A alone; Mika, who hears nothing of it, looks a second time all the same and says why."""
    expect(lena.locator("[data-test=next]")).to_have_attribute("data-why", "look")
    thumb = Thumb(lena)
    taps = {key: thumb.walk(key) for key in ("load_in", "base", "build")}
    taps["guards"] = thumb.pass_along("guards")
    print("taps of wall A:", taps)
    walk(lena, "second_look")
    expect(lena.locator("[data-test=ok]")).to_be_disabled()
    home(lena)

    walk(mika, "second_look")
    ok(mika)
    expect(mika.get_by_role("heading", name="Ahead of its turn")).to_be_visible()
    expect(mika.locator("[data-test=missing]")).to_be_visible()
    expect(mika.get_by_text("Somebody may have looked since.")).to_be_visible()
    mika.locator("label.choice", has_text="this phone does not know yet").click()
    mika.locator("label.choice", has_text="for the rest of this walk").click()
    mika.locator("[data-test=write-ahead]").click()
    mika.wait_for_function(DRAWN)
    home(mika)
    Thumb(mika).walk("second_look")


@pytest.mark.long
def test_a_night(server: Server, phone: Window, mate: Window, person: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url, {"A": STANDING, "B": HANGING, "C": HANGING})
    lena = join(phone, invite(office, server.url, "chief"), "Lena")
    mika = join(mate, invite(office, server.url, "crew"), "Mika")
    ines = join(person, invite(office, server.url, "competent_person"), "Ines", ready="wall-A")
    server.stop()
    build_without_network(lena, mika)
    server.start()
    for page in (mika, lena, mika, ines):
        sync(page)
    # what was missing on Mika's phone proves to be earlier: the mark is gone
    tool(lena, "Sign-off")
    expect(lena.locator("[data-test=ahead]")).to_have_count(0)
    home(lena)
    assert all("second look" not in group.lower() for group in in_the_way(lena))
    stop_after_both_looks(lena, mika, ines)
    for page in (lena, mika):
        sync(page)
    Thumb(mika).pass_along("picture")
    sync(mika)
    sync(lena)
    assert in_the_way(lena) == []
    sign(lena)
    open_the_strike(lena, mika)
    check_office(server, office)


def stop_after_both_looks(lena: Page, mika: Page, ines: Page) -> None:
    """Both looks were ok; Mika finds the lock open, shuts it and says so. That is not enough."""
    walk(mika, "build")
    show_check(mika, LOCKS)
    write_fault(mika, LOCKS, "Stop", "Lock open", "")
    mika.locator(f'[data-check="{LOCKS}"] [data-test=check-ok]').click()
    expect(mika.locator(f'[data-check="{LOCKS}"]')).to_have_attribute("data-state", "ok")
    home(mika)
    for page in (mika, lena, ines):
        sync(page)
    groups = " ".join(in_the_way(lena)).lower()
    assert "second look" in groups or "look again" in groups, groups
    assert "let the crew go on" in groups, groups
    # it is no word of the chief's
    lena.locator("[data-test=stop] a").first.click()
    expect(lena.locator("[data-test=release]")).to_have_count(0)
    home(lena)
    ines.locator("[data-test=stop] a").first.click()
    ines.locator("[data-test=release]").click()
    ines.locator("[data-test=release]").click()
    expect(ines.get_by_text("No stop stands.")).to_be_visible()
    for page in (ines, mika, lena):
        sync(page)
    # who mended it gives no second look, whoever else does
    walk(mika, "second_look")
    show_check(mika, SECOND)
    expect(mika.locator(f'[data-check="{SECOND}"]')).to_contain_text("Somebody else gives the second look.")
    home(mika)
    Thumb(lena).walk("second_look")
    Thumb(lena).walk("build")


def show_check(page: Page, check: str) -> None:
    """Step through a walk to the stop of a check."""
    while page.locator(f'[data-check="{check}"]').count() == 0:
        page.get_by_role("button", name="Next").click()
        page.wait_for_function(DRAWN)


def sign(page: Page) -> None:
    """The first page sends the chief to the wall that is ready, before any other."""
    expect(page.locator("[data-test=next]")).to_have_attribute("data-why", "sign")
    page.locator("[data-test=next]").click()
    expect(page.get_by_text("Nothing is in the way.")).to_be_visible()
    # a thumb without eyes is as quick as nobody can look: it is listed, and no obstacle
    expect(page.locator("[data-test=quick]").first).to_be_visible()
    page.locator("[data-test=sign]").click()
    page.locator("[data-test=sign]").click()
    expect(page.locator("[data-test=signed]")).to_have_attribute("data-lapsed", "false")
    sync(page)


def open_the_strike(lena: Page, mika: Page) -> None:
    """The show is over for wall A: its strike is there for everybody, the others' is not."""
    tool(lena, "Open the strike")
    lena.locator("label.choice", has_text="The show is over").first.click()
    lena.locator("label.choice", has_text="The whole wall").click()
    lena.locator("[data-test=open-strike]").click()
    sync(lena)
    sync(mika)
    expect(mika.locator("[data-test=next]")).to_contain_text("Strike")
    Thumb(mika).go_on()
    sync(mika)


def check_office(server: Server, office: Page) -> None:
    """The office reads of the night in words, and the book verifies."""
    office.goto(f"{server.url}/office/shows/night-show/log")
    expect(office.get_by_text("the competent person let the crew go on")).to_be_visible()
    office.goto(f"{server.url}/office/shows/night-show")
    expect(office.get_by_text("Standing", exact=True).first).to_be_visible()
    book = server.folder / "night.txt"
    assert server.run("export", "night-show", "-o", str(book)).returncode == 0
    assert server.run("verify", str(book)).returncode == 0
