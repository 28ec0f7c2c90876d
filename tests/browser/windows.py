"""Browsers of the tests: windows of one shared Chromium, and Chromiums that live on in their profile."""

import os
import re
import signal
from pathlib import Path
from typing import Literal

from playwright.sync_api import Browser as Chromium
from playwright.sync_api import BrowserContext, Error, Page, Playwright, ViewportSize

CHROMIUM = "/usr/bin/chromium"
# what Playwright turns off, for a later list takes the place of an earlier one, and the browser's own pages
# behind its address bar, which take more processor time to make than a test's window
WITHOUT = [
    "AvoidCorsURLLoaderRestartOnRedirect",
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsFirstBalancedModeAutoEnable",
    "HttpsUpgrades",
    "LensOverlay",
    "MediaRouter",
    "NetworkTimeServiceQuerying",
    "OptimizationHints",
    "PaintHolding",
    "PreconnectToSearch",
    "ThirdPartyStoragePartitioning",
    "WebUIOmniboxAimPopup",
    "WebUIOmniboxFullPopup",
    "WebUIOmniboxPopup",
]
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--disable-features={','.join(WITHOUT)}",
]
PHONE_SCREEN: ViewportSize = {"width": 390, "height": 844}
Colors = Literal["light", "dark"]


def start_chromium(playwright: Playwright) -> Chromium:
    """A Chromium for all that need no profile of their own."""
    return playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)


class Window:
    """A browser's window on nothing but its own cookies and stores, which end with it."""

    def __init__(self, colors: Colors) -> None:
        self.colors = colors
        self.context: BrowserContext | None = None
        self.errors: list[str] = []

    def open(self, url: str) -> Page:
        """Open a page in a fresh browser, or in one that goes on from its profile."""
        self.context = self._start()
        page = self.context.pages[0] if self.context.pages else self.context.new_page()
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.goto(url)
        return page

    def _start(self) -> BrowserContext:
        raise NotImplementedError

    def close(self) -> None:
        if self.context is not None:
            self.context.close()
        self.context = None


class Context(Window):
    """A window of the Chromium that all share."""

    def __init__(self, chromium: Chromium, colors: Colors = "light") -> None:
        super().__init__(colors)
        self._chromium = chromium

    def _start(self) -> BrowserContext:
        return self._chromium.new_context(viewport=PHONE_SCREEN, color_scheme=self.colors)


class Browser(Window):
    """A Chromium on one profile, which can be killed and opened again."""

    def __init__(self, playwright: Playwright, profile: Path, colors: Colors = "light") -> None:
        super().__init__(colors)
        self._playwright = playwright
        self.profile = profile
        self.camera: Path | None = None

    def _start(self) -> BrowserContext:
        return self._playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=CHROMIUM,
            args=[*ARGUMENTS, *self._camera_arguments()],
            viewport=PHONE_SCREEN,
            color_scheme=self.colors,
        )

    def _camera_arguments(self) -> list[str]:
        """A camera that plays a file, from its first frame whenever it is opened."""
        if self.camera is None:
            return []
        played = f"--use-file-for-fake-video-capture={self.camera}"
        return ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", played]

    def kill(self) -> None:
        """Kill every process of this browser at once, as a phone kills an app."""
        for entry in Path("/proc").iterdir():
            if entry.name.isdigit() and str(self.profile) in _command_line(entry):
                os.kill(int(entry.name), signal.SIGKILL)
        self._forget()

    def _forget(self) -> None:
        context, self.context = self.context, None
        if context is None:
            return
        try:
            context.close()
        except Error as error:
            assert re.search("closed|crashed|disconnected", str(error))


def _command_line(entry: Path) -> str:
    try:
        return (entry / "cmdline").read_bytes().replace(b"\0", b" ").decode()
    except OSError:
        return ""
