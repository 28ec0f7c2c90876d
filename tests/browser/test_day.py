"""A day beside the walks: shared work, one pass, a paper copied in, a module changed, another language."""

import pytest
from playwright.sync_api import Page, expect

from browser.steps import invite, join, look, ok, open_show, unsent, write_contacts
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser

OLD, SPARE, A_TILE = "HQ-M-00001-N", "HQ-M-00002-K", "HQ-T-00001-M"


def synced(page: Page) -> None:
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)


def share_work(page: Page, other: Page, book: str) -> None:
    """Lena shares the joints out; each phone begins at its own stretch, and Mika's is told on Lena's."""
    synced(page)
    page.goto(f"{page.url.partition('#')[0]}#share/{book}/A/build")
    for name in ("Lena", "Mika"):
        page.locator("label.choice", has_text=name).click()
    page.locator("[data-test=share]").click()
    expect(page.locator("[data-test=parts] li")).to_have_count(2)
    look(page, "share")
    synced(page)
    synced(other)
    link = other.locator("[data-test=walk-build]")
    expect(link).not_to_have_attribute("href", f"#walk/{book}/A/build/0")
    link.click()
    expect(other.get_by_text("Your stretch")).to_be_visible()
    first = other.url
    page.goto(first)
    expect(page.get_by_text("This is Mika's stretch.")).to_be_visible()


def one_pass(page: Page, book: str) -> None:
    """Around the free edges once: one guard stays in, the rest is as drawn."""
    page.goto(f"{page.url.partition('#')[0]}#pass/{book}/A/guards")
    look(page, "pass")
    page.locator("[data-test=spot]").first.click()
    page.locator("[data-test=fault]").click()
    page.locator("label.choice", has_text="Cosmetic").click()
    page.locator("label.choice", has_text="Guard stays in").click()
    page.locator("[data-test=write-fault]").click()
    expect(page.locator("[data-test=check]")).to_have_attribute("data-state", "fault")
    page.goto(f"{page.url.partition('#')[0]}#pass/{book}/A/guards")
    expect(page.get_by_text("Not OK: 1")).to_be_visible()
    rest = page.locator("[data-test=rest]")
    ok(page, "rest")
    expect(rest).to_have_text("All looked at")
    look(page, "pass-done")


def copy_a_paper(page: Page, book: str) -> None:
    """What Old Tom walked on paper: a bar's level, with its reading."""
    start = page.url.partition("#")[0]
    page.goto(f"{start}#home/{book}")
    page.get_by_text("Cases, log, contacts, papers").click()
    page.get_by_text("Copy in from paper").click()
    page.locator("[data-test=paper-begin]").click()
    expect(page.get_by_text("Give a name and a time.")).to_be_visible()
    page.locator("[data-test=paper-by]").fill("Old Tom")
    page.locator("[data-test=paper-at]").fill("2026-11-20T21:15")
    page.locator("[data-test=paper-begin]").click()
    look(page, "paper")
    page.locator("[data-test=walk-base]").click()
    page.locator("[data-test=how]").click()
    for choice in ("", "as_planned"):
        page.locator(f"[data-test=choice]{f'[data-choice={choice}]' if choice else ''}").click()
    page.locator("[data-test=reading]").fill("not a number")
    page.locator("[data-choice=firm_and_level]").click()
    expect(page.get_by_text("Type a number.")).to_be_visible()
    page.locator("[data-test=reading]").fill("1,5")
    page.locator("[data-choice=firm_and_level]").click()
    page.locator("[data-choice=tight]").click()
    page.locator("[data-choice=no_torque_given]").click()
    page.locator("[data-test=choice]").click()
    expect(page.locator("[data-test=check]").first).to_have_attribute("data-state", "ok")
    page.goto(f"{start}#home/{book}")
    page.get_by_role("button", name="Put the paper away").click()


def change_a_module(page: Page, book: str) -> None:
    """The module of tile 2.1: typed labels, a wrong one refused, its picture is to be looked at again."""
    start = page.url.partition("#")[0]
    page.goto(f"{start}#service/{book}/A")
    page.locator("[data-tile='2.1']").click()
    link = page.locator(".contacts a")
    assert link.get_attribute("href") == "tel:+49305550177"
    look(page, "service")
    page.locator("[data-test=part-module]").click()
    page.get_by_label("Comes out").fill(A_TILE)
    page.get_by_label("Goes in").fill(SPARE)
    expect(page.get_by_text("That is not a label of this kind: Module.")).to_be_visible()
    page.get_by_label("Comes out").fill(OLD)
    page.get_by_label("Goes in").press("Tab")
    look(page, "service-parts")
    page.locator("[data-test=begin]").click()
    while page.locator("[data-test=step]").count():
        before = page.locator("[data-test=step]").inner_text()
        page.locator("[data-test=choice]").first.click()
        page.wait_for_function("b => document.querySelector('[data-test=step]')?.innerText !== b", arg=before)
    expect(page.locator("[data-test=swapped]")).to_have_text("Checks to look at again: 1")
    expect(page.get_by_text("is in quarantine now")).to_be_visible()
    look(page, "service-done")
    page.get_by_role("link", name="Look at them").click()
    expect(page.locator("[data-state=reopened]")).to_be_visible()


@pytest.mark.long
def test_a_day_beside_the_walks(server: Server, phone: Window, mate: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    write_contacts(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    other = join(mate, invite(office, server.url, "crew"), "Mika")
    share_work(page, other, book)

    server.stop()
    one_pass(page, book)
    copy_a_paper(page, book)
    change_a_module(page, book)
    page.goto(f"{server.url}/phone/#test/{book}/A")
    look(page, "test-pictures")
    page.locator("[data-test=picture-grid]").click()
    assert page.evaluate(
        "[document.querySelector('canvas').width, document.querySelector('canvas').height]"
    ) == [576, 384]
    page.get_by_role("button", name="End the test picture").click()
    server.start()
    page.goto(f"{server.url}/phone/#home/{book}")
    synced(page)

    office.goto(f"{server.url}/office/shows/night-show/log")
    for words in ("From paper by Old Tom", "Height difference: 1.5 mm", "Module changed"):
        expect(office.get_by_text(words)).to_be_visible()
    look(office, "office-log")
    office.goto(f"{server.url}/office/procedures")
    look(office, "office-procedures")
    office.goto(f"{server.url}/office/shows/night-show/walls/A/blank/build")
    look(office, "blank")


def test_german_is_only_data(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "chief"), "Lena")
    book = page.url.partition("#home/")[2]
    start = page.url.partition("#")[0]
    page.goto(f"{start}#settings")
    page.locator("[data-test=language]").select_option("de")
    expect(page.get_by_text("Linkshändig")).to_be_visible()
    page.get_by_text("Große Schrift").click()
    page.get_by_text("Linkshändig").click()
    look(page, "settings-de")
    page.reload()
    expect(page.get_by_label("Große Schrift")).to_be_checked()
    page.goto(f"{start}#home/{book}")
    expect(page.get_by_text("Etwas ist passiert")).to_be_visible()
    look(page, "home-de")
    page.goto(f"{start}#walk/{book}/A/build/1")
    page.locator("[data-test=how]").click()
    expect(page.get_by_role("heading", name="Verschlüsse einer Fuge")).to_be_visible()
    look(page, "how-de-big-left")
    assert page.evaluate("document.documentElement.lang") == "de"
    page.goto(f"{start}#settings")
    page.evaluate("localStorage.setItem('seamwalk-settings', JSON.stringify({language: 'pseudo'}))")
    for screen in ("home/{}", "acts/{}", "service/{}/A/2.1", "share/{}/A/build", "pass/{}/A/guards"):
        address = screen.format(book)
        page.goto(f"{start}#{address}")
        page.reload()
        expect(page.locator("h1")).to_be_visible()
        expect(page.locator("[data-test=strip]")).to_be_visible()
        assert words_in_no_catalogue(page) == [], address


def words_in_no_catalogue(page: Page) -> list[str]:
    """Texts on the screen that carry no mark of the pseudo-language: names, codes and numbers aside."""
    found = page.evaluate(
        "() => { const all = []; const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);"
        " while (walk.nextNode()) all.push(walk.currentNode.textContent.trim()); return all; }"
    )
    known = ("Night Show", "Back wall", "Lena", "A")
    return [
        text
        for text in found
        if any(c.isalpha() for c in text)
        and "⟦" not in text
        and "⟧" not in text
        and not any(text.startswith(name) for name in known)
    ]
