"""Every page of the office shows books that hold what only older rules let in."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from every_page import every_page
from first_edition.opened import BOOKS
from helpers import send
from seamwalk.store.engine import Store


@pytest.fixture
def office(app: Flask) -> FlaskClient:
    browser = app.test_client()
    assert send(browser, "/office/login", login="anna", password="long password").status_code == 302
    return browser


@pytest.mark.parametrize("slug", BOOKS)
def test_every_page_and_file_of_a_book(office: FlaskClient, store: Store, slug: str) -> None:
    failed = {path: code for path, code in every_page(office, store, slug) if code >= 500}
    assert failed == {}


def test_the_office_is_told_of_copies(office: FlaskClient) -> None:
    void = [what["void"] for what in BOOKS["twisted"]["void"].values()]
    assert f"{len(void)} entries of this book are copies" in office.get("/office/shows/twisted").text
    page = office.get("/office/shows/twisted/odd").text
    assert page.count("A copy under another signature") == void.count("twin")
    assert page.count("Let in by such a copy alone") == void.count("let_in_by_twin")
    assert "are copies" not in office.get("/office/shows/clean").text


def test_the_office_is_told_of_gaps_and_forks(office: FlaskClient) -> None:
    page = office.get("/office/shows/lax/odd").text
    assert "numbers 2-4 never came" in page
    assert "2 entries share their number" in page
    assert "name none before them, or a first one" in page


def test_a_wall_whose_plan_is_not_here_hides_no_other(office: FlaskClient) -> None:
    assert office.get("/office/shows/lax").status_code == 200
