"""Printed labels are scanned by the app's own code from a camera, bright and dim, online and offline."""

from pathlib import Path
from typing import Any

import pytest
from filming import film, paper
from PIL import Image
from playwright.sync_api import Page, expect
from steps import home, invite, join, look, open_show

from seamwalk.domain.codes import Code

pytestmark = pytest.mark.browser
FIRST, SECOND = (Code("HQ", "T", serial) for serial in (1, 2))


def show_camera(page: Page, target: Path, *seen: Image.Image, **how: float) -> None:
    """Change what lies before the camera while it is closed."""
    home(page)
    film(target, *seen, **how)


def labels(server: Any, tmp_path: Path) -> list[Image.Image]:
    """Two tile labels and a case label, printed by the server's own command."""
    pdf = tmp_path / "labels.pdf"
    found = []
    for kind, count in (("tile", 2), ("case", 1)):
        made = server.run("labels", "--kind", kind, "--count", str(count), "--page", "60x35", "-o", str(pdf))
        assert made.returncode == 0, made.stderr
        found += [paper(pdf.read_bytes(), page) for page in range(count)]
    return found


def test_tiles_are_scanned_into_the_wall(server: Any, desk: Any, phone: Any, tmp_path: Path) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    first, second, case = labels(server, tmp_path)
    office.goto(f"{server.url}/office/shows/night-show")
    office.get_by_role("button", name="Give phones the stock list").click()
    expect(office.get_by_text("a list of 3 things")).to_be_visible()
    camera = phone.camera = tmp_path / "camera.y4m"
    film(camera, first, turn_deg=8)
    page = join(phone, invite(office, server.url, "crew"), "Mika")

    page.get_by_role("link", name="Scan", exact=True).click()
    card = page.locator("[data-test=card]")
    expect(card).to_contain_text(FIRST.grouped, timeout=15_000)
    expect(card).to_contain_text("This was not sent to this show.")
    look(page, "scan-tile")
    page.get_by_role("button", name="Put it into wall A").click()
    page.locator("[data-tile='1.1']").click()
    look(page, "scan-put")
    page.locator("[data-test=bind]").click()
    expect(page.get_by_text("Any code here")).to_be_visible()

    server.stop()
    show_camera(page, camera, second, light=0.35)
    page.reload()
    page.get_by_role("link", name="Picture").click()
    page.get_by_role("link", name="Scan this tile").click()
    expect(card).to_contain_text(SECOND.grouped, timeout=15_000)
    expect(page.locator("[data-test=question]")).to_contain_text(f"{FIRST.grouped} is written down here")
    look(page, "scan-question")
    page.locator("[data-test=bind]").click()
    expect(page.get_by_role("heading", name="Scan into A, tile")).to_be_visible()

    show_camera(page, camera, second, case)
    page.get_by_role("link", name="Scan", exact=True).click()
    expect(card).to_have_count(2, timeout=15_000)
    expect(page.locator("[data-test=stands]")).to_contain_text("Stands in A, tile 1.1.")
    look(page, "scan-two")

    code = page.get_by_label("Or type the code")
    swapped = SECOND.text[:6] + SECOND.text[7] + SECOND.text[6] + SECOND.text[8:]
    code.fill(swapped)
    page.get_by_role("button", name="Find").click()
    expect(page.locator("[data-test=wrong]")).to_contain_text("one character is wrong")
    look(page, "scan-wrong")
    page.get_by_role("button", name=SECOND.grouped).click()
    expect(card).to_have_count(1)
    expect(card).to_contain_text(SECOND.grouped)
    server.start()
    home(page)
    page.get_by_role("button", name="Sync").click()
    expect(page.locator("[data-test=strip]")).to_have_attribute("data-unsent", "0")
