"""Every page of the office shows books that hold what only older rules let in."""

import pytest
from flask import Flask
from flask.testing import FlaskClient
from opened import BOOKS

from every_page import every_page
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
