"""Printed labels are scanned by the app's own code from a camera, bright and dim, online and offline."""

import base64
import io
import json
from pathlib import Path
from typing import Any

import pytest
import segno
from PIL import Image
from playwright.sync_api import Page, expect

from browser.filming import film, paper
from browser.steps import home, invite, join, look, open_show, walk
from browser.windows import Browser, Window
from real_server import Server
from seamwalk.domain.stock.codes import Code

pytestmark = pytest.mark.browser
FIRST, SECOND = (Code("HQ", "T", serial) for serial in (1, 2))
CASE = Code("HQ", "C", 1)


def show_camera(page: Page, target: Path, *seen: Image.Image, **how: float) -> None:
    """Change what lies before the camera while it is closed."""
    home(page)
    film(target, *seen, **how)


def labels(server: Server, office: Page, tmp_path: Path) -> list[Image.Image]:
    """A case of two tiles comes in as a list; their labels are printed by the server's own command."""
    stock = tmp_path / "stock.csv"
    rows = [f"{tile.text},tile,plover_500,{CASE.text}" for tile in (FIRST, SECOND)]
    stock.write_text("\n".join(["code,kind,tile_type,home_case", f"{CASE.text},case,,", *rows]))
    office.goto(f"{server.url}/office/stock")
    office.set_input_files("input[type=file]", stock)
    office.get_by_role("button", name="Look at the list").click()
    look(office, "office-stock-list")
    office.get_by_role("button", name="Take all in (3)").click()
    expect(office.get_by_text("Taken in: 3.")).to_be_visible()
    look(office, "office-stock")
    pdf = tmp_path / "labels.pdf"
    codes = [code.text for code in (FIRST, SECOND, CASE)]
    made = server.run("labels", "--page", "60x35", "-o", str(pdf), "--again", *codes)
    assert made.returncode == 0, made.stderr
    return [paper(pdf.read_bytes(), page) for page in range(3)]


def segno_image(text: str) -> Image.Image:
    """Somebody else's label."""
    out = io.BytesIO()
    segno.make(text, error="m").save(out, kind="png", scale=8, border=4)
    return Image.open(out).convert("L").resize((300, 300), Image.Resampling.NEAREST)


def bound(server: Server, tmp_path: Path) -> list[dict[str, Any]]:
    """What the book says of tiles in the wall, in its order."""
    target = tmp_path / "book.txt"
    assert server.run("export", "night-show", "-o", str(target)).returncode == 0
    found = []
    for line in target.read_text().splitlines():
        entry = json.loads(line).get("entry")
        if entry:
            payload = entry.split(".")[1]
            told = json.loads(base64.urlsafe_b64decode(payload + "=" * (-len(payload) % 4)))
            found += [told["body"]] if told["type"] == "tile_bound" else []
    return found


# the next code comes before the last tile is written
BIND_AND_FIND = """async (code) => {
  document.querySelector("[data-test=bind]").click();
  const typed = document.querySelector("#typed-code");
  typed.value = code;
  typed.dispatchEvent(new Event("input", { bubbles: true }));
  for (const _ of [1, 2, 3]) await null; // drawn
  typed.form.requestSubmit();
}"""


@pytest.mark.long
def test_tiles_are_scanned_into_the_wall(
    server: Server, desk: Window, mortal_phone: Browser, tmp_path: Path
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    first, second, case = labels(server, office, tmp_path)
    office.goto(f"{server.url}/office/shows/night-show")
    office.get_by_role("button", name="Give phones the stock list").click()
    expect(office.get_by_text("Things in it: 3.")).to_be_visible()
    camera = mortal_phone.camera = tmp_path / "camera.y4m"
    film(camera, first, turn_deg=8)
    page = join(mortal_phone, invite(office, server.url, "crew"), "Mika")

    page.get_by_role("link", name="Scan", exact=True).click()
    card = page.locator("[data-test=card]")
    expect(card).to_contain_text(FIRST.grouped, timeout=15_000)
    expect(card).to_contain_text("This was not sent to this show.")
    look(page, "scan-tile")
    page.get_by_role("button", name="Put it into wall A").click()
    page.locator("[data-tile='1.1']").click()
    look(page, "scan-put")
    page.locator("[data-test=bind]").click()
    expect(page.get_by_text("Every code")).to_be_visible()
    look(page, "scan-empty")

    server.stop()
    show_camera(page, camera, second, light=0.35)
    page.reload()
    walk(page, "picture")
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
    page.get_by_text("History (1)").click()
    expect(page.locator(".history li")).to_contain_text("Mika: A, tile 1.1")
    look(page, "scan-two")
    page.locator("[data-test=count-load_in]").click()
    counting = page.locator("[data-test=counting]")
    expect(counting).to_contain_text("1 of 2", timeout=15_000)
    expect(page.locator("[data-test=things] .missing")).to_contain_text(FIRST.grouped)
    look(page, "scan-count")

    code = page.get_by_label("Or type the code")
    swapped = SECOND.text[:6] + SECOND.text[7] + SECOND.text[6] + SECOND.text[8:]
    code.fill(swapped)
    page.get_by_role("button", name="Find").click()
    expect(page.locator("[data-test=wrong]")).to_contain_text("one character is wrong")
    look(page, "scan-wrong")
    page.get_by_role("button", name=SECOND.grouped, exact=True).click()
    code.fill(FIRST.grouped.lower())
    page.get_by_role("button", name="Find").click()
    expect(counting).to_contain_text("All 2 there")
    page.get_by_role("link", name="Back").click()
    expect(page.get_by_role("heading", name="Cases at load-in")).to_be_visible()
    tag = Image.new("L", (300, 300))
    tag.paste(segno_image("RENTAL 0077"))
    show_camera(page, camera, tag)
    page.get_by_role("link", name="Scan", exact=True).click()
    expect(card).to_have_attribute("data-is", "foreign", timeout=15_000)
    page.get_by_role("button", name="Put it into wall A").click()
    page.get_by_label("Tap where it stands").select_option("2.1")
    expect(page.locator("[data-test=bind]")).to_be_enabled()
    page.evaluate(BIND_AND_FIND, SECOND.text)
    expect(card).to_have_count(1)
    page.get_by_role("button", name="Take back: not in A, tile 1.1").click()
    expect(page.locator("[data-test=stands]")).to_have_count(0)
    server.start()
    home(page)
    page.get_by_role("button", name="Sync").click()
    expect(page.locator("[data-test=strip]")).to_have_attribute("data-unsent", "0")
    first_there, second_there, foreign = bound(server, tmp_path)
    assert (first_there["item"], first_there["tile"], first_there["replaces"]) == (FIRST.text, "1.1", [])
    assert (second_there["item"], second_there["tile"]) == (SECOND.text, "1.1")
    assert len(second_there["replaces"]) == 1
    assert (foreign["item"], foreign["tag"], foreign["tile"]) == (None, "RENTAL 0077", "2.1")
    office.goto(f"{server.url}/office/shows/night-show/walls/A")
    expect(office.get_by_text("RENTAL 0077")).to_be_visible()
    expect(office.get_by_text(FIRST.text)).to_be_visible()
    look(office, "office-wall-tiles")
