"""The office plans a wall with its build sheet beside the form, worked out again as it is typed."""

import json

import pytest
from playwright.sync_api import expect

from browser.steps import WALL, invite, join, look, open_show, tap_map, walk
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser
SUPPLY = {"volts": 230, "breaker_a": 16, "pf": 0.95, "phases": 3}
SIGNAL = {"port_mbps": 1000, "efficiency": 0.9}


@pytest.mark.long
def test_the_sheet_follows_what_is_typed(server: Server, desk: Window) -> None:
    page = desk.open(server.url)
    open_show(page, server.url)
    page.goto(f"{server.url}/office/shows/night-show/plan?wall=A")
    sheet = page.locator("#sheet")
    expect(sheet).to_contain_text("1,500.0 mm")
    page.get_by_label("Columns", exact=True).fill("8")
    expect(sheet).to_contain_text("4,000.0 mm")
    look(page, "office-plan-form")
    page.get_by_label("Bend angles, degrees").fill("9 9 9 9 9 9 9")
    expect(sheet).to_contain_text("9 is over the tile's limit of 5")
    look(page, "office-plan-refused")
    page.get_by_label("Bend angles, degrees").fill("5 5 5 5 5 5 5")
    expect(sheet).to_contain_text("35.0 degrees")
    server.stop()
    page.get_by_label("Columns", exact=True).fill("9")
    expect(page.locator("[data-no-answer]")).to_be_visible()
    expect(sheet).to_contain_text("35.0 degrees")
    server.start()

    page.goto(f"{server.url}/office/shows/night-show/plan-json?wall=A")
    page.get_by_label("Plan", exact=True).fill(json.dumps(WALL | {"supply": SUPPLY, "signal": SIGNAL}))
    expect(sheet).to_contain_text("C1")
    look(page, "office-plan-json")


@pytest.mark.long
def test_cables_are_planned_by_form_and_a_tapped_tile_says_what_feeds_it(
    server: Server, desk: Window, phone: Window
) -> None:
    page = desk.open(server.url)
    open_show(page, server.url)
    page.goto(f"{server.url}/office/shows/night-show/plan?wall=A")
    sheet = page.locator("#sheet")
    page.get_by_text("Supply", exact=True).click()
    for label, value in (("Voltage, V", "230"), ("Breaker rating, A", "2")):
        page.get_by_label(label, exact=True).fill(value)
    expect(sheet).to_contain_text("supply.pf: is missing")
    page.get_by_label("Phases", exact=True).select_option("3")
    page.get_by_label("Power factor").fill("1")
    expect(sheet).to_contain_text("Circuit C1 on L1")
    look(page, "office-plan-supply")
    page.get_by_text("Signal", exact=True).click()
    page.get_by_label("Port data rate, Mbit/s").fill("200")
    page.get_by_label("Share of the data rate for the picture").fill("1")
    page.get_by_label("Redundant loop").check()
    expect(sheet).to_contain_text("back to port P4")
    page.get_by_role("button", name="Set this plan").click()
    page.get_by_role("link", name="Cable plan").click()
    page.get_by_role("link", name="Tile 1.2").first.click()
    expect(page.locator("#tapped")).to_contain_text("breaker 2 A")
    expect(page.locator("#tapped dd").nth(2)).to_have_text("1.1")
    look(page, "office-cables")

    crew = join(phone, invite(page, server.url, "crew"), "Mika")
    walk(crew, "picture")
    tap_map(crew, 0.5, 0.5)
    expect(crew.locator("[data-test=map-go]")).to_have_text("Go to: Tile in column 1, row 2")
    look(crew, "map-picked")
    crew.locator("[data-test=map-go]").click()
    crew.get_by_text("Power and data of this tile").click()
    expect(crew.locator("[data-test=cables]")).to_contain_text("Circuit C1 · L1")
    expect(crew.locator("[data-test=cables]")).to_contain_text("from 1.1, tiles behind it: 0")
    look(crew, "walk-cables")
