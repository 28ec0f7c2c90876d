"""Joining when something is in the way: each says what happened and what to do, and leaves a way on."""

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from shutil import copytree

import pytest
from playwright.sync_api import Browser as Chromium
from playwright.sync_api import BrowserContext, Page, Route, ViewportSize, expect

from browser.steps import invite, look, open_show
from browser.windows import PHONE_SCREEN, Context
from real_server import Server

SMALLEST: ViewportSize = {"width": 320, "height": 568}
LANGUAGES = {"en": "en-GB", "de": "de-DE"}
AGAIN = {"en": "Try again", "de": "Noch einmal versuchen"}
ANOTHER = {"en": "Scan an invite", "de": "Einladung scannen"}
# what no person says: names of fields, of errors and of stores, and times of machines
MACHINES_WORDS = ("token", "proof", "Error", "IndexedDB", "undefined", "fetch", "T00:", "{")
DAY_MS = 86_400_000

# in a page and in its worker, before anything else runs there
NO_DATABASE = "indexedDB.open = () => { throw new DOMException('denied', 'SecurityError'); };"
NO_FILES = "StorageManager.prototype.getDirectory = () => Promise.reject(new DOMException('denied'));"
NO_PROMISE = "navigator.storage.persist = async () => false;"
CLOCK = """{
  const Right = Date;
  const now = () => Right.now() + %d;
  self.Date = class extends Right {
    constructor(...given) { super(...(given.length ? given : [now()])); }
    static now() { return now(); }
  };
}"""


@dataclass
class Office:
    """A server with an open show, and the office's browser in it."""

    server: Server
    page: Page

    def invite(self) -> str:
        return invite(self.page, self.server.url, "crew")

    def let_expire(self) -> None:
        """Let every invite be of yesterday."""
        with sqlite3.connect(self.server.folder / "seamwalk.db") as database:
            database.execute("UPDATE invites SET expires_at = datetime('now', '-1 hour')")
        database.close()


@pytest.fixture(scope="module")
def office(
    new_folder: Path, chromium: Chromium, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Office]:
    server = Server(Path(copytree(new_folder, tmp_path_factory.mktemp("joining") / "data")))
    server.start()
    desk = Context(chromium)
    page = desk.open(server.url)
    open_show(page, server.url)
    yield Office(server, page)
    desk.close()
    server.stop()


@pytest.fixture(params=LANGUAGES)
def phone(request: pytest.FixtureRequest, chromium: Chromium) -> Iterator[BrowserContext]:
    """A phone's browser in one of the languages."""
    locale = LANGUAGES[request.param]
    context = chromium.new_context(viewport=PHONE_SCREEN, locale=locale, color_scheme="dark")
    yield context
    context.close()


def prepared(phone: BrowserContext, script: str) -> BrowserContext:
    """Run a script in each page of this phone and in its writer, but not in what is kept offline."""

    def before_it(route: Route) -> None:
        if route.request.service_worker is not None:
            route.continue_()
            return
        response = route.fetch()
        route.fulfill(response=response, body=script + response.text())

    phone.add_init_script(script)
    phone.route("**/dist/writer-*.js", before_it)
    return phone


def opened(phone: BrowserContext, link: str) -> Page:
    page = phone.new_page()
    page.goto(link)
    return page


def join_as(page: Page, name: str) -> None:
    page.locator("form.join input").first.fill(name)
    page.locator("form.join button[type=submit]").click()


def language_of(page: Page) -> str:
    return str(page.locator("html").get_attribute("lang"))


def read_by_a_person(page: Page, name: str) -> str:
    """What a screen says: no machine's words, no sideways scroll, no accessibility fault."""
    said = page.locator("body").inner_text()
    assert [word for word in MACHINES_WORDS if word in said] == []
    page.set_viewport_size(SMALLEST)
    assert page.evaluate("document.scrollingElement.scrollWidth") <= SMALLEST["width"]
    page.set_viewport_size(PHONE_SCREEN)
    look(page, f"joining-{name}-{language_of(page)}")
    return said


def in_the_show(page: Page) -> None:
    expect(page.locator("[data-test=walk-load_in]").first).to_be_visible()


def expect_trouble(page: Page, kind: str) -> None:
    expect(page.locator("[data-test=trouble]")).to_have_attribute("data-trouble", kind)


def test_without_network_the_same_invite_is_tried_again_later(office: Office, phone: BrowserContext) -> None:
    page = opened(phone, office.invite())
    phone.set_offline(True)
    join_as(page, "Rosa")
    expect_trouble(page, "offline")
    said = read_by_a_person(page, "offline")
    assert str(page.evaluate("new Date().getFullYear()")) in said, "what this phone's clock says"
    phone.set_offline(False)
    page.get_by_role("button", name=AGAIN[language_of(page)]).click()
    in_the_show(page)


def test_a_phone_whose_answer_was_lost_gets_in_by_the_same_invite(
    office: Office, phone: BrowserContext
) -> None:
    page = opened(phone, office.invite())
    lost = []

    def lose(route: Route) -> None:
        lost.append(route.fetch().status)
        route.abort()

    page.context.route("**/api/v1/join", lose, times=1)
    join_as(page, "Rosa")
    expect_trouble(page, "offline")
    assert lost == [200]
    page.get_by_role("button", name=AGAIN[language_of(page)]).click()
    in_the_show(page)


def test_an_invite_lets_nobody_in_once_it_was_used_or_is_over(
    office: Office, phone: BrowserContext, chromium: Chromium
) -> None:
    link = office.invite()
    other = Context(chromium)
    first = other.open(link)
    join_as(first, "Vera")
    in_the_show(first)
    other.close()
    page = opened(phone, link)
    join_as(page, "Rosa")
    expect_trouble(page, "used")
    read_by_a_person(page, "used")

    link = office.invite()
    office.let_expire()
    page.goto("about:blank")
    page.goto(link)
    join_as(page, "Rosa")
    expect_trouble(page, "expired")
    read_by_a_person(page, "expired")

    page.get_by_role("button", name=ANOTHER[language_of(page)]).click()
    page.locator("form.join input").fill(office.invite())
    read_by_a_person(page, "another")
    page.locator("form.join button[type=submit]").click()
    join_as(page, "Rosa")
    in_the_show(page)


def test_an_invite_that_is_cut_or_mistyped_or_of_another_server_is_told_apart(
    office: Office, phone: BrowserContext
) -> None:
    link = office.invite()
    page = opened(phone, link[:-3])
    expect_trouble(page, "cut")
    read_by_a_person(page, "cut")

    letter = link.index("#join=") + len("#join=")
    mistyped = link[:letter] + ("x" if link[letter] != "x" else "y") + link[letter + 1 :]
    page.goto("about:blank")
    page.goto(mistyped)
    join_as(page, "Rosa")
    expect_trouble(page, "unknown")
    read_by_a_person(page, "unknown")

    another = page.get_by_role("button", name=ANOTHER[language_of(page)])
    another.click()
    page.locator("form.join input").fill(link.replace("localhost", "hall.example.org"))
    page.locator("form.join button[type=submit]").click()
    expect_trouble(page, "elsewhere")
    assert "hall.example.org" in read_by_a_person(page, "elsewhere")


def test_a_book_of_another_owner_than_the_invite_says_is_not_joined(
    office: Office, phone: BrowserContext
) -> None:
    token, _ = office.invite().rsplit(".", 1)
    page = opened(phone, f"{token}.{'x' * 43}")
    join_as(page, "Rosa")
    expect_trouble(page, "other_owner")
    read_by_a_person(page, "other-owner")
    page.reload()
    expect(page.locator("[data-test=walk-load_in]")).to_have_count(0)


def test_a_browser_without_a_database_says_so_before_anything_is_asked(
    office: Office, phone: BrowserContext
) -> None:
    page = opened(prepared(phone, NO_DATABASE), office.invite())
    expect(page.locator("[data-test=no-storage]")).to_be_visible()
    expect(page.locator("form.join")).to_have_count(0)
    read_by_a_person(page, "no-storage")
    phone.unroute_all()
    page.get_by_role("button", name=AGAIN[language_of(page)]).click()
    expect(page.locator("form.join")).to_be_visible()


def test_a_browser_without_files_or_that_promises_nothing_joins_and_is_told(
    office: Office, phone: BrowserContext
) -> None:
    page = opened(prepared(phone, NO_FILES + NO_PROMISE), office.invite())
    expect(page.locator("form.join")).to_be_visible()
    said = read_by_a_person(page, "no-promise")
    assert {"en": "promise", "de": "verspricht"}[language_of(page)] in said
    join_as(page, "Rosa")
    in_the_show(page)
    assert {"en": "only one copy", "de": "nur eine Kopie"}[language_of(page)] in read_by_a_person(
        page, "one-copy"
    )


@pytest.mark.parametrize("days", [-3, 3])
def test_a_phone_whose_clock_is_off_by_days_joins_and_is_told_at_every_sync(
    office: Office, phone: BrowserContext, days: int
) -> None:
    page = opened(prepared(phone, CLOCK % (days * DAY_MS)), office.invite())
    join_as(page, "Rosa")
    in_the_show(page)
    told = page.locator("[data-test=clock-off]")
    expect(told).to_contain_text({"en": "3 days", "de": "3 Tage"}[language_of(page)])
    read_by_a_person(page, f"clock{days}")
    page.locator("[data-test=walk-load_in]").first.click()
    expect(page.locator("[data-test=strip]")).to_contain_text("!")


def test_a_clock_that_is_right_is_not_spoken_of(office: Office, phone: BrowserContext) -> None:
    page = opened(phone, office.invite())
    join_as(page, "Rosa")
    in_the_show(page)
    expect(page.locator("[data-test=clock-off]")).to_have_count(0)
