"""A phone that was installed, holds a book with a wall, and is without a network from then on."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from playwright.sync_api import ConsoleMessage, Page, Playwright

from browser.windows import Browser
from helpers import Site, make_site_anew
from real_server import Server
from seamwalk_demo import scenario

CPU_THROTTLE = 4
# as long as a large wall may take to come here
MOST_MS = 60_000
# beside the app's files in the same cache, under an address that the service worker serves
BLANK = "/dist/icon.svg"
_BLANK_PAGE = "<!doctype html><title>blank</title><body><button id=blank>blank</button>"


@dataclass(frozen=True)
class Installed:
    """A phone's browser, closed; it is opened again at `url` and shows walks of wall A of `book`."""

    phone: Browser
    url: str
    book: str


def wall_of(columns: int, rows: int) -> dict[str, Any]:
    """A plan of a straight wall with everything that asks for checks."""
    straight = {"bends_deg": [0] * (columns - 1), "support_columns": [1, columns]}
    return scenario.curved() | {"columns": columns, "rows": rows, "clamp_rows": [rows]} | straight


def look_at(site: Site, walk: str, stops: slice) -> None:
    """Another phone finds these stops of a walk ok, one entry for each, a minute apart."""
    phone = site.phone("crew", "Rosa")
    plan, file = phone.plan("A")
    walked = next(item for item in file["walks"] if item["key"] == walk)["stops"][stops]
    at = site.clock[0] - timedelta(minutes=len(walked))
    for number, stop in enumerate(walked):
        checks = [file["checks"][position]["id"] for position in stop["checks"]]
        body = {"plan": plan, "checks": checks, "result": "ok", "answers": []}
        phone.write("found", body, at + timedelta(minutes=number))
    phone.sync()


@contextmanager
def installed(
    playwright: Playwright, folder: Path, plan: dict[str, Any], done: dict[str, slice]
) -> Iterator[Installed]:
    """Make one; `done` are the stops by walk that somebody else has looked at before."""
    server = Server(folder / "data")
    server.folder.mkdir(parents=True)
    site = make_site_anew(server.folder, f"sqlite:///{server.folder / 'seamwalk.db'}", plan)
    site.clock[0] = datetime.now(UTC)
    for walk, stops in done.items():
        look_at(site, walk, stops)
    link = f"{server.url}/phone/#join={site.invite('chief')}.{site.owner}"
    site.store.engine.dispose()
    server.start()
    phone = Browser(playwright, folder / "phone")
    try:
        page = _join(phone, link)
        _put_blank_page(page)
        server.stop()
        phone.close()
        yield Installed(phone, server.url, site.book)
    finally:
        phone.close()
        server.stop()


def _join(phone: Browser, link: str) -> Page:
    """Join, and wait until the wall is here and the app can start without a network."""
    page = phone.open(link)
    page.get_by_label("What does the crew call you?").fill("Mika")
    page.get_by_role("button", name="Join").click()
    page.wait_for_selector("[data-test=walk-load_in]", timeout=MOST_MS)
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    return page


def _put_blank_page(page: Page) -> None:
    page.evaluate(
        """async ([address, text]) => {
          const cache = await caches.open((await caches.keys())[0]);
          await cache.put(address, new Response(text, {headers: {'Content-Type': 'text/html'}}));
        }""",
        [BLANK, _BLANK_PAGE],
    )


def is_number(told: ConsoleMessage) -> bool:
    """Whether the page's console was told a time."""
    return told.text.replace(".", "", 1).isdigit()


def throttle(page: Page) -> None:
    """Slow the page's CPU down; its workers are not."""
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": CPU_THROTTLE})
