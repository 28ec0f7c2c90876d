"""The server comes back from an old copy: the phone stops, says so, gives its files, and goes on later."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.steps import home, invite, join, look, ok, ok_all, open_show, unsent, walk, write_fault
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser


def saved(page: Page, button: str, folder: Path) -> Path:
    with page.expect_download() as download:
        page.locator(f"[data-test={button}]").click()
    target = folder / f"{button}.txt"
    download.value.save_as(target)
    return target


def put_back(server: Server, copy: Path) -> None:
    """The database is lost; what comes back is an older copy."""
    server.stop()
    for file in server.folder.glob("seamwalk.db*"):
        file.unlink()
    shutil.copy(copy, server.folder / "seamwalk.db")
    server.start()


@pytest.mark.long
def test_a_server_that_lost_entries_gets_them_back(
    server: Server, phone: Window, desk: Window, tmp_path: Path
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "crew"), "Mika")
    copy = tmp_path / "copy.db"
    assert server.run("copy", str(copy)).returncode == 0
    walk(page, "load_in")
    check = str(page.locator("[data-check*='condition']").first.get_attribute("data-check"))
    write_fault(page, check, "Stop", "Wet", "water in the lid")
    unsent(page, 0)
    put_back(server, copy)
    page.get_by_role("button", name="Next").click()
    ok(page)
    home(page)
    expect(page.get_by_text("the server lost entries")).to_be_visible()
    unsent(page, 1)
    page.locator("[data-test=strip]").click()
    expect(page.locator("[data-test=stopped]")).to_contain_text("came back from an older copy")
    look(page, "stopped")
    book = saved(page, "save-book", tmp_path)
    verified = server.run("verify", str(book))
    assert "consistent" in verified.stdout, verified.stderr
    waiting = saved(page, "save-unsent", tmp_path)
    office.goto(f"{server.url}/office/shows/night-show")
    expect(office.get_by_text("This server has lost entries.")).to_be_visible()
    look(office, "office-lost")
    assert "epoch" in server.run("restore").stdout
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)
    expect(page.get_by_text("brought back what was missing: 1")).to_be_visible()
    look(page, "restored")
    office.goto(f"{server.url}/office/shows/night-show/take-in")
    office.get_by_label("The phone's file").set_input_files(waiting)
    office.get_by_role("button", name="Take it in").click()
    expect(office.locator("[data-verdict=again]")).to_contain_text("1")
    look(office, "office-take-in")
    office.goto(f"{server.url}/office/shows/night-show/walls/A")
    expect(office.locator(".why")).to_contain_text("Mika reported it")
    expect(office.get_by_text("water in the lid").first).to_be_visible()
    look(office, "office-why")


@pytest.mark.long
def test_a_check_says_why_it_stands_as_it_does(server: Server, phone: Window, desk: Window) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    page = join(phone, invite(office, server.url, "crew"), "Mika")
    walk(page, "load_in")
    row = page.locator("[data-test=check]").first
    row.locator(".name").click()
    expect(row.locator("[data-test=why]")).to_have_text("Nobody has looked at it yet.")
    check = str(row.get_attribute("data-check"))
    write_fault(page, check, "Before show", "Wet", "")
    expect(page.locator("[data-test=why]").first).to_contain_text("Nobody has answered it.")
    page.locator("[data-state=fault] [data-test=check-ok]").click()
    row = page.locator(f'[data-check="{check}"]')
    expect(row).to_have_attribute("data-state", "ok")
    row.locator(".name").click()
    expect(row.locator("[data-test=why]")).to_contain_text("Mika saw that, looked again and found it OK")
    look(page, "why")
    home(page)
    walk(page, "load_in")
    ok_all(page)
    office.goto(f"{server.url}/office/shows/night-show/devices/{'x' * 43}")
    expect(office.get_by_text("was never admitted")).to_be_visible()
    office.goto(f"{server.url}/office/shows/night-show")
    office.get_by_role("link", name="Rename, revoke, lost").click()
    look(office, "office-device")
    office.get_by_label("Whose phone it is").fill("Mika Sand")
    office.get_by_role("button", name="Keep name and role").click()
    expect(office.get_by_text("Mika Sand")).to_be_visible()
