"""The phone's start.

Cold offline start: a new browser process each time, the server stopped, the page's CPU throttled 4x (workers
are not), from navigation to the home screen; against a blank page precached and served by the same service
worker. And the bytes of a first load, gzip.
"""

import gzip
import json
import statistics
import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

import browser.steps as job
from browser.windows import Browser
from helpers import PASSWORD
from real_server import Server

ROOT = Path(__file__).resolve().parents[2]
ROUNDS, TINY = 7, 1
CPU_THROTTLE = 4


def first_load_bytes() -> int:
    """What a phone fetches before it can work offline, without icons: bytes, gzip."""
    dist = ROOT / "static" / "dist"
    files = ["index.html", "sw.js", *json.loads((dist / "build.json").read_text())["files"]]
    return sum(len(gzip.compress((dist / name).read_bytes())) for name in files)


WATCH = """
  new MutationObserver((_, watch) => {
    if (!document.querySelector('READY')) return;
    window.readyAt = performance.now();
    watch.disconnect();
  }).observe(document, {childList: true, subtree: true});
"""


def start_ms(phone: Any, url: str, ready: str, rounds: int) -> float:
    """Median ms from navigation until `ready` stands on the page; each round is a new browser process."""
    times: list[float] = []
    for _ in range(rounds):
        page = phone.open("about:blank")
        page.add_init_script(WATCH.replace("READY", ready))
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": CPU_THROTTLE})
        page.goto(url)
        page.wait_for_function("() => window.readyAt !== undefined")
        times.append(page.evaluate("window.readyAt"))
        phone.close()
    return statistics.median(times)


def prepare_blank(page: Page) -> None:
    """Put a blank page beside the app's files in the same cache, under an address that the worker serves."""
    page.evaluate(
        """async () => {
          const cache = await caches.open((await caches.keys())[0]);
          const blank = '<!doctype html><title>blank</title><body><p id=blank>blank</p>';
          const headers = {'Content-Type': 'text/html'};
          await cache.put('/dist/icon.svg', new Response(blank, {headers}));
        }"""
    )


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    rounds = TINY if tiny else ROUNDS
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        server = Server(Path(folder) / "data")
        server.run("account", "anna", given=f"{PASSWORD}\n")
        server.start()
        desk = Browser(playwright, Path(folder) / "office")
        phone = Browser(playwright, Path(folder) / "phone")
        office = desk.open(server.url)
        job.open_show(office, server.url)
        page = job.join(phone, job.invite(office, server.url, "crew"), "Mika")
        prepare_blank(page)
        server.stop()
        phone.close()
        blank = start_ms(phone, f"{server.url}/dist/icon.svg", "#blank", rounds)
        app = start_ms(phone, f"{server.url}/phone/", ".wall_card", rounds)
        desk.close()
    ratio = f"{app:.0f} ms, blank page {blank:.0f} ms, x {app / blank:.1f}"
    print(f"cold offline start at {CPU_THROTTLE}x throttle: {ratio}")
    print(f"first load: {first_load_bytes()} bytes gzip, goal 150000, x {first_load_bytes() / 150_000:.2f}")
