"""Cases out and back: one short, one foreign tile, one corner damage; found, claimed, repaired, in stock."""

import io
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import FilePayload, Locator, Page, expect

from browser.steps import invite, join, look, open_show, unsent
from browser.windows import Window
from real_server import Server
from warehouse import case, shown, tile

pytestmark = pytest.mark.browser


def take_stock_in(office: Page, url: str, tmp_path: Path) -> None:
    """Four cases of two tiles come in as a list, the third and fourth of another batch."""
    lines = ["code,kind,tile_type,home_case,batch"]
    for number in (1, 2, 3, 4):
        lines.append(f"{case(number)},case,plover_500,,")
        batch = "spring" if number < 4 else "autumn"
        own = (tile(2 * number - 1), tile(2 * number))
        lines += [f"{code},tile,plover_500,{case(number)},{batch}" for code in own]
    stock = tmp_path / "stock.csv"
    stock.write_text("\n".join(lines))
    office.goto(f"{url}/office/stock")
    office.set_input_files("input[type=file]", stock)
    office.get_by_role("button", name="Look at the list").click()
    office.get_by_role("button", name="Take all in (12)").click()


def describe(office: Page, url: str, kind: str, **fields: str) -> None:
    office.goto(f"{url}/office/types")
    office.locator("#kind").select_option(kind)
    for name, value in fields.items():
        office.locator(f"#{name}").fill(value)
    look(office, "office-types")
    office.get_by_role("button", name="Write it down").click()


def scan(page: Page, code: str) -> None:
    """Type a label's code, as where no camera is."""
    page.get_by_label("Or type the code").fill(code)
    page.get_by_role("button", name="Find").click()


def go(page: Page, address: str) -> None:
    """Open a screen of the app by its address, without a reload."""
    page.evaluate("address => { location.hash = address; }", address)


def inside(page: Page, code: str) -> Locator:
    return page.locator(f"[data-test=things] li[data-item='{code}']:not(.missing)")


def photo(page: Page, color: str) -> None:
    data = io.BytesIO()
    Image.new("RGB", (320, 240), color).save(data, "JPEG")
    shot: FilePayload = {"name": "shot.jpg", "mimeType": "image/jpeg", "buffer": data.getvalue()}
    page.locator("[data-test=photo-file]").set_input_files(shot)
    expect(page.locator(".thumbs img")).to_be_visible()


def book_of(page: Page) -> str:
    return str(page.locator("[data-test^=cases-]").first.get_attribute("href")).split("/")[1]


def send(page: Page) -> None:
    page.get_by_role("button", name="Sync").click()
    unsent(page, 0)


@pytest.mark.long
def test_cases_go_out_and_come_back(
    server: Server, desk: Window, phone: Window, mate: Window, tmp_path: Path
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    take_stock_in(office, server.url, tmp_path)
    describe(office, server.url, "case", mass_kg="42", length_mm="1200", width_mm="600", height_mm="700")
    describe(office, server.url, "tile", type="plover_500", mass_kg="8", price="950", currency="EUR")
    office.goto(f"{server.url}/office/shows/night-show/prep")
    expect(office.locator("tbody tr")).to_have_count(3)
    look(office, "office-prep")
    office.get_by_role("button", name="Give phones these cases").click()
    expect(office.get_by_text("Cases: 3.")).to_be_visible()
    office.goto(f"{server.url}/office/shows/night-show/prep/manifests")
    look(office, "office-manifests")

    wim = join(phone, invite(office, server.url, "warehouse"), "Wim")
    kim = join(mate, invite(office, server.url, "warehouse"), "Kim")
    book = book_of(wim)
    wim.locator("[data-test=cases-prep]").click()
    expect(wim.locator("[data-test=case]")).to_have_count(3)
    look(wim, "cases-prep")
    go(wim, f"case/{book}/prep/{case(4)}")
    expect(wim.locator("[data-test=reasons]")).to_contain_text("not on this show's list")
    look(wim, "case-stopped")
    go(wim, f"case/{book}/prep/{case(1)}")
    expect(wim.locator("[data-test=planned]")).to_contain_text("Wall A, columns 1")
    scan(wim, tile(1))
    expect(inside(wim, tile(1))).to_be_visible()
    look(wim, "case-prep")
    inside(wim, tile(1)).locator("[data-test=look]").click()
    expect(wim.locator("[data-test=side-front]")).to_be_visible()
    look(wim, "look")
    photo(wim, "white")
    for side in ("Front", "Rear"):
        wim.locator("label.choice", has_text=side).click()
    wim.locator("[data-test=write-sound]").click()
    expect(inside(wim, tile(1))).to_contain_text("looked at: sound")
    scan(wim, tile(2))
    wim.locator("[data-test=shut-case]").click()
    expect(wim.locator("[data-test=shut]")).to_have_attribute("data-shut", "as_seen")
    for number in (2, 3):
        go(wim, f"case/{book}/prep/{case(number)}")
        expect(wim.locator("[data-test=shut-case]")).to_contain_text("unopened: 2")
        wim.locator("[data-test=shut-case]").click()
        expect(wim.locator("[data-test=shut]")).to_have_attribute("data-shut", "as_seen")
    go(wim, f"cases/{book}/prep")
    expect(wim.locator("[data-test=done]")).to_contain_text("3 of 3")
    look(wim, "cases-out")
    send(wim)
    send(kim)

    # back from the show: two people in one case, without network
    server.stop()
    go(wim, f"case/{book}/return/{case(1)}")
    scan(wim, tile(1))
    inside(wim, tile(1)).locator("[data-test=look]").click()
    wim.locator("[data-test=side-front] [data-part='corner:top_left']").click()
    wim.get_by_text("Chipped").click()
    look(wim, "look-damage")
    wim.locator("[data-test=set-damage]").click()
    photo(wim, "red")
    look(wim, "look-written")
    wim.locator("[data-test=write-look]").click()
    expect(inside(wim, tile(1))).to_contain_text("1 damaged")
    go(kim, f"case/{book}/return/{case(1)}")
    scan(kim, tile(2))
    expect(kim.locator("[data-test=counting]")).to_have_attribute("data-summary", "short")
    go(kim, f"case/{book}/return/{case(2)}")
    for number in (3, 5):
        scan(kim, tile(number))
    foreign = kim.locator("[data-test=foreign]")
    expect(foreign).to_contain_text("It belongs in")
    look(kim, "case-foreign")
    server.start()
    send(kim)
    send(wim)
    send(kim)
    go(kim, f"case/{book}/return/{case(1)}")
    for page in (wim, kim):
        expect(page.locator("[data-test=counting]")).to_have_attribute("data-summary", "complete")
    wim.locator("[data-test=shut-case]").click()
    expect(wim.locator("[data-test=shut]")).to_have_attribute("data-shut", "as_seen")
    go(kim, f"case/{book}/return/{case(2)}")
    foreign.locator("[data-test=rehome]").click()
    expect(foreign).to_have_count(0)
    expect(kim.locator("[data-test=counting]")).to_have_attribute("data-summary", "short")
    kim.locator("[data-test=shut-case]").click()
    expect(kim.locator("[data-test=shut]")).to_have_attribute("data-shut", "as_seen")
    go(kim, f"case/{book}/return/{case(3)}")
    expect(inside(kim, tile(5))).to_be_visible()
    scan(kim, tile(6))
    kim.locator("[data-test=shut-case]").click()
    go(kim, f"cases/{book}/return")
    expect(kim.locator("[data-test=still-out]")).to_contain_text("not seen again: 1")
    look(kim, "cases-return")
    send(kim)
    send(wim)

    # the office: what is missing, and a claim for the corner
    office.goto(f"{server.url}/office/shows/night-show/cases")
    expect(office.locator(f"tr[data-case='{case(2)}'][data-summary=short]")).to_be_visible()
    look(office, "office-cases")
    office.goto(f"{server.url}/office/missing")
    expect(office.locator("[data-test=missing]")).to_contain_text(shown(tile(4)))
    expect(office.locator("[data-test=missing]")).to_contain_text("950.00 EUR")
    look(office, "office-missing")
    office.get_by_role("navigation").get_by_role("link", name="Stock").click()
    office.get_by_label("Code, type, batch").press_sequentially(tile(1))
    expect(office.locator("[data-found] tbody tr")).to_have_count(1)
    look(office, "office-things")
    office.get_by_role("link", name=shown(tile(1))).click()
    window = office.locator("[data-test=window]")
    expect(window).to_contain_text("Sound when Wim looked")
    look(office, "office-thing")
    window.get_by_text("Claim this damage").click()
    window.get_by_label("Against whom").fill("Kranich Haulage")
    window.get_by_label("Insurer's reference").fill("S-77/4")
    window.get_by_label("To be claimed by").fill("2026-12-04")
    window.get_by_role("button", name="Open the claim").click()
    expect(office.get_by_role("heading", name="Claim for damage")).to_be_visible()
    expect(office.locator(".side_by_side img")).to_have_count(2)
    expect(office.get_by_text("S-77/4")).to_be_visible()
    look(office, "office-claim")
    with office.expect_download() as saved:
        office.get_by_role("link", name="The entry's excerpt").last.click()
    owner = str(office.locator(".seal code").nth(2).inner_text())
    proof = server.run("verify", str(saved.value.path()), "--trust", owner)
    assert proof.returncode == 0, proof.stderr

    # the bench: one mends it, the other looks again
    go(kim, f"bench/{book}")
    kim.locator(f"[data-test=waiting][data-item='{tile(1)}']").click()
    look(kim, "bench-triage")
    kim.get_by_text("Repair it here").click()
    kim.locator("[data-test=write-step]").click()
    expect(kim.locator("[data-test=status]")).to_have_attribute("data-status", "in_repair")
    kim.get_by_text("Repaired", exact=True).click()
    kim.locator("[data-test=side-front] [data-part='corner:top_left']").click()
    kim.get_by_label("Parts used up").fill("corner_piece 1")
    look(kim, "bench-repair")
    kim.locator("[data-test=write-step]").click()
    expect(kim.locator("[data-test=status]")).to_have_attribute("data-status", "awaits_look")
    expect(kim.get_by_text("Somebody else takes the second look")).to_be_visible()
    send(kim)
    send(wim)
    go(wim, f"bench/{book}/{tile(1)}")
    wim.get_by_text("Sound, back to stock").click()
    look(wim, "bench-second-look")
    wim.locator("[data-test=write-step]").click()
    expect(wim.locator("[data-test=status]")).to_have_attribute("data-status", "in_stock")
    scanned = f"case/{book}/return/{case(2)}"
    go(wim, scanned)
    scan(wim, tile(4))
    expect(wim.locator("[data-test=counting]")).to_have_attribute("data-summary", "complete")
    expect(wim.locator("[data-test=shut]")).to_have_attribute("data-shut", "changed")
    send(wim)
    office.goto(f"{server.url}/office/bench")
    expect(office.get_by_text("Nothing waits.")).to_be_visible()
    expect(office.get_by_text("corner_piece 1")).to_be_visible()
    look(office, "office-bench")
    office.goto(f"{server.url}/office/missing")
    expect(office.get_by_text("Nothing is missing.")).to_be_visible()


@pytest.mark.long
def test_a_hired_tile_is_handed_over_and_countersigned_on_the_other_side_s_phone(
    server: Server, desk: Window, phone: Window, mate: Window, tmp_path: Path
) -> None:
    office = desk.open(server.url)
    open_show(office, server.url)
    take_stock_in(office, server.url, tmp_path)
    office.goto(f"{server.url}/office/shows/night-show")
    office.get_by_role("button", name="Give phones the stock list").click()
    wim = join(phone, invite(office, server.url, "warehouse"), "Wim")
    wim.locator("[data-test=hire]").click()
    wim.get_by_role("link", name="New handover").click()
    wim.get_by_label("The other company").fill("Elster Rental")
    scan(wim, case(1))
    expect(wim.locator("[data-test=items]")).to_contain_text("Things: 3.")
    wim.get_by_label("Firmware").fill("4.1")
    photo(wim, "white")
    look(wim, "hire-new")
    wim.locator("[data-test=hand-over]").click()
    expect(wim.locator("[data-test=countersign]")).to_be_visible()
    send(wim)
    ilse = join(mate, invite(office, server.url, "partner"), "Ilse", ready="hire")
    ilse.locator("[data-test=hire]").click()
    ilse.locator("[data-test=handover]").click()
    expect(ilse.get_by_text("4.1")).to_be_visible()
    look(ilse, "hire-countersign")
    ilse.locator("[data-test=agree]").click()
    expect(ilse.locator("[data-test=answers]")).to_contain_text("Ilse agrees")
    send(ilse)
    office.goto(f"{server.url}/office/shows/night-show/cases")
    expect(office.get_by_text("Ilse agrees.")).to_be_visible()
    expect(office.get_by_text("on another phone")).to_be_visible()
