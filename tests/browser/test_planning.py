"""The office plans a wall with its build sheet beside the form, worked out again as it is typed."""

import json
from typing import Any

import pytest
from playwright.sync_api import expect
from steps import WALL, look, open_show

pytestmark = pytest.mark.browser
SUPPLY = {"volts": 230, "breaker_a": 16, "pf": 0.95, "phases": 3}
SIGNAL = {"port_mbps": 1000, "efficiency": 0.9}


def test_the_sheet_follows_what_is_typed(server: Any, desk: Any) -> None:
    page = desk.open(server.url)
    open_show(page, server.url)
    page.goto(f"{server.url}/office/shows/night-show/plan?wall=A")
    sheet = page.locator("#sheet")
    expect(sheet).to_contain_text("1,500.0 mm")
    page.get_by_label("Columns", exact=True).fill("8")
    expect(sheet).to_contain_text("4,000.0 mm")
    look(page, "office-plan-form")
    page.get_by_label("Bends in degrees").fill("9 9 9 9 9 9 9")
    expect(sheet).to_contain_text("9 is over the tile's limit of 5")
    look(page, "office-plan-refused")
    page.get_by_label("Bends in degrees").fill("5 5 5 5 5 5 5")
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
