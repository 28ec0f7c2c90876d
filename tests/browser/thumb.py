"""A thumb that taps the main button alone, and answers nothing that was not on the screen."""

import time

from playwright.sync_api import Locator, Page, expect

from browser.steps import DRAWN, home

# what stands on the screen, wholly and covered by nothing, once the frame is over in which a scroll is told
SHOWN = """async () => {
  await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  return [...document.querySelectorAll("[data-shows]")].filter((element) => {
    const { left, top, right, bottom } = element.getBoundingClientRect();
    const ends = [top + 3, (top + bottom) / 2, bottom - 3].map((y) => [(left + right) / 2, y]);
    return ends.every(([x, y]) => element.contains(document.elementFromPoint(x, y)));
  }).flatMap((element) => element.dataset.shows.split(" "));
}"""


def taps(page: Page, x: float, y: float, gaps_ms: tuple[int, ...]) -> None:
    """A thumb taps one spot of the screen again and again, whatever comes to lie there.

    The touches say themselves when they were, so that a machine that is slow keeps no thumb waiting.
    """
    touch = page.context.new_cdp_session(page)
    at_s = time.time()
    for gap_ms in (0, *gaps_ms):
        page.wait_for_timeout(gap_ms)
        at_s += gap_ms / 1000
        for kind, points in (("touchStart", [{"x": x, "y": y}]), ("touchEnd", [])):
            event = {"type": kind, "touchPoints": points, "timestamp": at_s}
            touch.send("Input.dispatchTouchEvent", event)
    touch.detach()


def tap_often(button: Locator, *gaps_ms: int) -> None:
    """Several taps on the spot where a button lies at first."""
    expect(button).to_be_enabled()
    button.evaluate("button => button.scrollIntoView({block: 'center'})")
    box = button.bounding_box()
    assert box is not None
    taps(button.page, box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, gaps_ms)


class Thumb:
    """Taps the main button alone, and looks before each tap at what is on the screen."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0
        self.seen: set[str] = set()

    def tap(self, button: Locator) -> bool:
        """Whether the tap was an ok; it may answer only what was on the screen."""
        self.seen.update(self.page.evaluate(SHOWN))
        is_ok = button.get_attribute("data-rest") == "0"
        if is_ok:
            answers = set((button.get_attribute("data-answers") or "").split())
            assert answers <= self.seen, answers - self.seen
        button.click()
        self.taps += 1
        return is_ok

    def walk(self, key: str) -> int:
        """Walk a walk to its end; how often it was tapped."""
        return self._to_the_end(f"walk-{key}")

    def go_on(self) -> int:
        """Go where the first page sends this person, to the end of that walk; how often it was tapped."""
        return self._to_the_end("next")

    def _to_the_end(self, way: str) -> int:
        before = self.taps
        self.page.locator(f"[data-test={way}]").first.click()
        self.page.wait_for_function(DRAWN)
        button = self.page.locator("[data-test=ok]")
        while button.is_enabled():
            self.tap(button)
            self.page.wait_for_function(DRAWN)
        home(self.page)
        return self.taps - before

    def pass_along(self, key: str) -> int:
        """Go along the wall once; how often it was tapped."""
        before = self.taps
        self.page.locator(f"[data-test=walk-{key}]").first.click()
        button = self.page.locator("[data-test=rest]")
        while not self.tap(button):
            pass
        expect(button).to_have_text("All looked at")
        home(self.page)
        return self.taps - before
