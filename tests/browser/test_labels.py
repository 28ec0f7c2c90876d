"""The office makes labels and saves their PDF, seeing which page is being drawn."""

from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import expect

from browser.steps import log_in, look
from browser.windows import Window
from real_server import Server

pytestmark = pytest.mark.browser


def test_five_hundred_labels_are_saved_page_by_page(server: Server, desk: Window, tmp_path: Path) -> None:
    page = desk.open(server.url)
    log_in(page, server.url)
    page.goto(f"{server.url}/office/labels")
    look(page, "office-labels")
    page.get_by_label("How many new ones").fill("500")
    page.get_by_label("Labels across").fill("30")
    page.get_by_role("button", name="Make the labels").click()
    expect(page.get_by_text("where 0.396 are needed")).to_be_visible()
    page.get_by_label("Labels across").fill("3")
    page.get_by_role("button", name="Make the labels").click()
    expect(page.get_by_text("Labels: 500, each 65.3 x 35.1 mm. Pages: 21.")).to_be_visible()
    look(page, "office-label-print")
    with page.expect_download() as download:
        page.get_by_role("link", name="Save the PDF").click()
    expect(page.get_by_text("Page 21 of 21")).to_be_visible()
    saved = tmp_path / download.value.suggested_filename
    download.value.save_as(saved)
    assert saved.name.endswith("-500.pdf")
    assert len(pypdfium2.PdfDocument(saved.read_bytes())) == 21
