"""A real server process and a real Chromium with a profile of its own."""

import os
import re
import shutil
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import BrowserContext, Error, Page, Playwright, ViewportSize, sync_playwright

from helpers import PASSWORD
from real_server import Server

CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE_SCREEN: ViewportSize = {"width": 390, "height": 844}

Colors = Literal["light", "dark"]


@pytest.fixture(scope="session")
def new_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A server's folder without a show, with the login `anna`; made once, to be copied."""
    made = Server(tmp_path_factory.mktemp("new") / "data")
    assert made.run("account", "anna", given=f"{PASSWORD}\n").returncode == 0
    return made.folder


@pytest.fixture
def server(tmp_path: Path, new_folder: Path) -> Iterator[Server]:
    """A server without a show, with the login `anna`."""
    made = Server(Path(shutil.copytree(new_folder, tmp_path / "data")))
    made.start()
    yield made
    made.stop()


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """One driver for all browsers of a run."""
    with sync_playwright() as driver:
        yield driver


class Browser:
    """A Chromium on one profile, which can be killed and opened again."""

    def __init__(
        self, playwright: Playwright, profile: Path, colors: Literal["light", "dark"] = "light"
    ) -> None:
        self._playwright = playwright
        self._colors = colors
        self.profile = profile
        self.camera: Path | None = None
        self.context: BrowserContext | None = None
        self.errors: list[str] = []

    def open(self, url: str) -> Page:
        """Start Chromium on the profile and open a page."""
        self.context = self._playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=CHROMIUM,
            args=[*ARGUMENTS, *self._camera_arguments()],
            viewport=PHONE_SCREEN,
            color_scheme=self._colors,
        )
        page = self.context.pages[0]
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.goto(url)
        return page

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

    def close(self) -> None:
        if self.context is not None:
            self.context.close()
        self.context = None

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


def _phone(playwright: Playwright, profile: Path) -> Iterator[Browser]:
    browser = Browser(playwright, profile, "dark")
    yield browser
    browser.close()
    assert browser.errors == []


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path) -> Iterator[Browser]:
    """A phone's browser, dark as in the venue; the light colours are looked at by `test_light_colours`."""
    yield from _phone(playwright, tmp_path / "phone")


@pytest.fixture
def mate(playwright: Playwright, tmp_path: Path) -> Iterator[Browser]:
    """A second phone, for whoever looks a second time."""
    yield from _phone(playwright, tmp_path / "mate")


@pytest.fixture
def desk(playwright: Playwright, tmp_path: Path) -> Iterator[Browser]:
    """The office's browser."""
    browser = Browser(playwright, tmp_path / "office")
    yield browser
    browser.close()
