"""A real server process, real Chromiums, and who uses them."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser as Chromium
from playwright.sync_api import Playwright, sync_playwright

from browser.windows import Browser, Context, Window, start_chromium
from helpers import PASSWORD
from real_server import Server


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


@pytest.fixture(scope="session")
def chromium(playwright: Playwright) -> Iterator[Chromium]:
    """The Chromium that all windows share; each knows nothing of the others."""
    shared = start_chromium(playwright)
    yield shared
    shared.close()


@pytest.fixture
def mortal_phone(playwright: Playwright, tmp_path: Path) -> Iterator[Browser]:
    """A phone's browser of its own, on its disk: it can be killed and opened again, and has a camera."""
    browser = Browser(playwright, tmp_path / "phone", "dark")
    yield browser
    browser.close()
    assert browser.errors == []


@pytest.fixture
def phone(chromium: Chromium) -> Iterator[Window]:
    """A phone's browser, dark as in the venue; the light colours are looked at by `test_light_colours`."""
    yield from _shared(chromium)


@pytest.fixture
def mate(chromium: Chromium) -> Iterator[Window]:
    """A second phone, for whoever looks a second time."""
    yield from _shared(chromium)


@pytest.fixture
def person(chromium: Chromium) -> Iterator[Window]:
    """A third phone, for whoever must be asked."""
    yield from _shared(chromium)


def _shared(chromium: Chromium) -> Iterator[Window]:
    """A window of the shared Chromium, a second lighter than one of its own."""
    window = Context(chromium, "dark")
    yield window
    window.close()
    assert window.errors == []


@pytest.fixture
def desk(chromium: Chromium) -> Iterator[Window]:
    """The office's browser."""
    window = Context(chromium)
    yield window
    window.close()
