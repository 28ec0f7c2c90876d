"""A tap on OK without a network, on a wall of 4,000 tiles, the page's CPU throttled 4x (workers are not).

From the tap, by the clock of its event, until the next stop is on the screen: so the answer is kept by then.
The baseline is a tap on a blank page that is drawn anew, in the same browser.
"""

import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

import browser.steps as job
from bench.installed import BLANK, CPU_THROTTLE, Installed, installed, is_number, throttle, wall_of

# what others have looked at, and the stops where this phone goes on
DONE = {"load_in": slice(3000), "build": slice(2000)}
WALKS = {"build": 2000, "load_in": 3000}
TAPS = 40

# tells the console how long each tap took, ms: to the frame after READY
WATCH = """() => {
  const at = () => document.querySelector(".walk")?.dataset.at;
  addEventListener("click", ({ timeStamp, isTrusted }) => {
    if (!isTrusted) return; // no finger's: on the way to what has to be seen first
    const before = at();
    const drawn = () => console.log(performance.now() - timeStamp);
    const look = () => {
      if (!(READY)) return;
      watch.disconnect();
      requestAnimationFrame(() => {
        const painted = new MessageChannel();
        painted.port1.onmessage = drawn;
        painted.port2.postMessage(0);
      });
    };
    const watch = new MutationObserver(look);
    watch.observe(document, { subtree: true, childList: true, attributes: true });
  }, { capture: true });
}"""
BLANK_DRAWN = "true"
NEXT_DRAWN = "at() !== before && document.querySelector('.walk')?.ariaBusy === 'false'"
# nobody taps before they have seen what the last tap has drawn
AT_REST = """async () => {
  for (const _ of [1, 2]) {
    await new Promise(requestAnimationFrame);
    await new Promise((rested) => requestIdleCallback(rested));
  }
}"""
DRAW_BLANK = """() => document.querySelector("#blank").addEventListener("click", ({ target }) => {
  target.textContent += ".";
})"""


def tap(page: Page, selector: str) -> float:
    """Tap in the middle of something with a finger's events; how long it took until it was answered, ms."""
    box = page.locator(selector).bounding_box()
    assert box is not None
    with page.expect_console_message(is_number) as told:
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    return float(told.value.text)


def blank_taps(at: Installed, count: int) -> list[float]:
    page = at.phone.open(f"{at.url}{BLANK}")
    throttle(page)
    page.evaluate(DRAW_BLANK)
    page.evaluate(WATCH.replace("READY", BLANK_DRAWN))
    times: list[float] = []
    for _ in range(count):
        page.evaluate(AT_REST)
        times.append(tap(page, "#blank"))
    at.phone.close()
    return times


def ok_taps(at: Installed, walk: str, stop: int, count: int) -> list[float]:
    page = at.phone.open(f"{at.url}/phone/#walk/{at.book}/A/{walk}/{stop}")
    page.wait_for_function(job.DRAWN)
    throttle(page)
    page.evaluate(WATCH.replace("READY", NEXT_DRAWN))
    times: list[float] = []
    for _ in range(count):
        page.wait_for_function(job.LED_ON, arg="ok")
        page.evaluate(AT_REST)
        times.append(tap(page, "[data-test=ok]"))
    at.phone.close()
    return times


def told(times: list[float]) -> str:
    ordered = sorted(times)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * len(ordered)))]
    return f"median {statistics.median(times):.0f} ms, p95 {p95:.0f} ms"


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    size, count = ((4, 3), 2) if tiny else ((100, 40), TAPS)
    done = {"load_in": slice(0, 4)} if tiny else DONE
    walks = {"build": 0} if tiny else WALKS
    with (
        tempfile.TemporaryDirectory() as folder,
        sync_playwright() as playwright,
        installed(playwright, Path(folder), wall_of(*size), done) as at,
    ):
        blank = blank_taps(at, count)
        print(f"a tap on a blank page at {CPU_THROTTLE}x throttle: {told(blank)}")
        for walk, stop in walks.items():
            times = ok_taps(at, walk, stop, count)
            ratio = statistics.median(times) / statistics.median(blank)
            print(f"OK to the next stop, {walk} of {size[0]} x {size[1]} tiles: {told(times)}, x {ratio:.1f}")
