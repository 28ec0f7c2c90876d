"""The phone's start.

Cold offline start of an installed phone that holds a book with a wall: a new browser process each time, the
server stopped, the page's CPU throttled 4x (workers are not), from navigation to the home screen; against a
blank page precached and served by the same service worker, by turns. And the bytes of a first load, gzip.
"""

import gzip
import json
import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from bench.installed import BLANK, CPU_THROTTLE, Installed, installed, is_number, throttle, wall_of

ROOT = Path(__file__).resolve().parents[2]
ROUNDS, TINY = 7, 1
# a browser that was just opened loads pages of its own, which take the same two processors
SETTLE_MS = 3000
WALLS = ((10, 4), (100, 40))
# others have looked at all tiles at load-in
DONE = {"load_in": slice(None)}


def first_load_bytes() -> int:
    """What a phone fetches before it can work offline, without icons: bytes, gzip."""
    dist = ROOT / "static" / "dist"
    built = json.loads((dist / "build.json").read_text())["files"]
    files = ["index.html", "sw.js", *(name for name in built if not name.startswith(("scan", "zxing")))]
    return sum(len(gzip.compress((dist / name).read_bytes())) for name in files)


# told by the console: whoever asks the page has it evaluate something, and waits with it
WATCH = """
  new MutationObserver((_, watch) => {
    if (!document.querySelector('READY')) return;
    watch.disconnect();
    console.log(performance.now());
  }).observe(document, {childList: true, subtree: true});
"""


def start_ms(at: Installed, path: str, ready: str, settle_ms: int) -> float:
    """Milliseconds from navigation until `ready` stands on the page, in a new browser process."""
    page = at.phone.open("about:blank")
    page.add_init_script(WATCH.replace("READY", ready))
    throttle(page)
    page.wait_for_timeout(settle_ms)
    with page.expect_console_message(is_number) as told:
        page.goto(f"{at.url}{path}")
    ms = float(told.value.text)
    at.phone.close()
    return ms


def measure(at: Installed, rounds: int, settle_ms: int = SETTLE_MS) -> str:
    """Medians of the app and of the blank page, as a ratio."""
    pages = ((BLANK, "#blank"), ("/phone/", ".wall_card svg"))
    times = [[start_ms(at, *page, settle_ms) for page in pages] for _ in range(rounds)]
    blank, app = (statistics.median(column) for column in zip(*times, strict=True))
    return f"{app:.0f} ms, blank page {blank:.0f} ms, x {app / blank:.2f}"


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    rounds, walls = (TINY, ((4, 3),)) if tiny else (ROUNDS, WALLS)
    for columns, rows in walls:
        with (
            tempfile.TemporaryDirectory() as folder,
            sync_playwright() as playwright,
            installed(playwright, Path(folder), wall_of(columns, rows), DONE) as at,
        ):
            ratio = measure(at, rounds, 0 if tiny else SETTLE_MS)
        print(f"cold offline start at {CPU_THROTTLE}x throttle, wall of {columns} x {rows} tiles: {ratio}")
    print(f"first load: {first_load_bytes()} bytes gzip, goal 150000, x {first_load_bytes() / 150_000:.2f}")
