"""How the phone begins: one page at a time has the writer."""

import pytest
from playwright.sync_api import expect

from browser.steps import invite, join, open_show
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser


def test_a_second_page_waits_for_the_first_and_then_goes_on(
    server: Server, phone: Window, desk: Window
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    first = join(phone, invite(office, server.url, "crew"), "Mika")
    server.stop()
    assert phone.context is not None
    second = phone.context.new_page()
    second.goto(first.url)
    expect(second.get_by_text("open in another window")).to_be_visible()
    first.close()
    expect(second.locator(".wall_card svg")).to_be_visible()
    # it was begun before its own script was read, and again by a reload that finds its own lock held
    for _ in range(5):
        second.reload()
        expect(second.locator(".wall_card svg")).to_be_visible()
