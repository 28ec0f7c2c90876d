"""Small makers of what tests need; everything in them is invented."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from seamwalk.book.roles import Role
from seamwalk.config import Settings
from seamwalk.store.access import accounts, office_sessions, phones
from seamwalk.store.access.passwords import new_hash
from seamwalk.store.engine import Store
from seamwalk.store.ledger.books import freeze_plan, open_book, set_plan
from seamwalk.store.ledger.readers import Reader
from seamwalk.store.wrapping import KeyRing, WrappingKey
from seamwalk.web import create_app
from seamwalk.web.services import EXTENSION
from seamwalk.web.visitors import TOKEN
from seamwalk_demo.crew import SimulatedPhone
from site_templates import keep, make_database, template_of

EVERYTHING = Reader(Role.OFFICE, frozenset())
NOW = datetime(2026, 11, 20, 22, 0, tzinfo=UTC)
PASSWORD = "heron quiet lamp wet"
RING = KeyRing.of(WrappingKey(bytes(32)))
TILE: dict[str, Any] = {
    "key": "plover_500",
    "width_mm": 500,
    "height_mm": 500,
    "depth_mm": 80,
    "px_w": 192,
    "px_h": 192,
    "mass_kg": 8,
    "power_max_w": 150,
    "power_typical_w": 50,
    "locks_side": 2,
    "locks_stack": 2,
    "tiles_per_case": 8,
    "max_bend_deg": 5,
    "reference": "invented manual",
}
SUPPLY = {
    "volts": 230,
    "connection": "LN",
    "phases": 3,
    "breaker_a": 16,
    "continuous_factor": 0.8,
    "pf": 0.95,
}
PLAN: dict[str, Any] = {"name": "Back wall", "columns": 3, "rows": 2, "tile": TILE, "support": "stacked"}


@dataclass
class Site:
    """An app with one show, one wall and an office login."""

    app: Flask
    store: Store
    book: str
    owner: str
    clock: list[datetime]

    def invite(self, role: str = "crew", hours: int = 12) -> str:
        """Make an invite's token."""
        with self.store.write() as session:
            return phones.make_invite(session, self.book, role, hours, self.clock[0])

    def phone(self, role: str = "crew", name: str = "Rosa") -> SimulatedPhone:
        """A phone that has joined and synced."""
        phone = SimulatedPhone(self.app.test_client(), self.book)
        phone.join(self.invite(role), name)
        phone.sync()
        return phone


def make_site(folder: Path, database_url: str, plan: dict[str, Any] = PLAN) -> Site:
    """Make an app over a database of its own, its clock in the site's hands; what lay there is gone."""
    template = template_of(database_url, plan)
    if template is None:
        make_database(database_url)
        made = make_site_anew(folder, database_url, plan)
        made.store.engine.dispose()
        keep(folder, database_url, plan, made.book, made.owner)
        return made
    template.put(folder, database_url)
    clock = [NOW]
    app = _make_app(folder, database_url, clock)
    return Site(app, app.extensions[EXTENSION].store, template.book, template.owner, clock)


def make_site_anew(folder: Path, database_url: str, plan: dict[str, Any] = PLAN) -> Site:
    """Make a site with nothing copied: files, tables and keys of its own."""
    clock = [NOW]
    app = _make_app(folder, database_url, clock)
    store: Store = app.extensions[EXTENSION].store
    with store.write() as session:
        accounts.add_account(session, "anna", new_hash(PASSWORD), "office")
        accounts.add_account(session, "wim", new_hash(PASSWORD), "warehouse")
        book = open_book(session, kind="show", title="Test Show", slug="test-show", now=NOW)
        set_plan(session, book.id, freeze_plan("A", plan), replaces=None, now=NOW)
    return Site(app, store, book.id, book.owner_fingerprint, clock)


def reopen_site(site: Site, database: Path) -> Site:
    """The same show over another SQLite file, as after a copy was put back beside its wrapping key."""
    key_file = site.app.extensions[EXTENSION].settings.key_file
    app = _make_app(database.parent, f"sqlite:///{database}", site.clock, given_key_file=key_file)
    return Site(app, app.extensions[EXTENSION].store, site.book, site.owner, site.clock)


def start_again(site: Site) -> Site:
    """The same site after its server was stopped and started."""
    site.store.engine.dispose()
    settings = site.app.extensions[EXTENSION].settings
    app = create_app(settings, now=lambda: site.clock[0])
    return Site(app, app.extensions[EXTENSION].store, site.book, site.owner, site.clock)


def _make_app(folder: Path, database_url: str, clock: list[datetime], **more: Any) -> Flask:
    fields = {"company": "Test Company"} | more
    settings = Settings(folder, database_url, "http://localhost", "not a secret", **fields)
    return create_app(settings, now=lambda: clock[0])


def token(page: str) -> str:
    return found_in(page, r'name="csrf_token"[^>]*value="([^"]+)"')[1]


def found_in(page: str, pattern: str) -> re.Match[str]:
    """Where a pattern is found in a page, and it must be."""
    found = re.search(pattern, page)
    assert found is not None
    return found


def cookie_of(client: FlaskClient, name: str) -> str:
    """The value of a cookie that a browser holds."""
    cookie = client.get_cookie(name)
    assert cookie is not None
    return cookie.value


def client_of(phone: SimulatedPhone) -> FlaskClient:
    """A phone's test client, with its cookies."""
    assert isinstance(phone.client, FlaskClient)
    return phone.client


def send(client: FlaskClient, path: str, **fields: Any) -> TestResponse:
    """Fill a form in and send it."""
    return client.post(path, data={"csrf_token": token(client.get(path).text), **fields})


def log_in(site: Site, login: str = "anna") -> FlaskClient:
    """A browser in which somebody logs in, with all that this looks at and leaves behind."""
    client = site.app.test_client()
    assert send(client, "/office/login", login=login, password=PASSWORD).status_code == 302
    return client


def logged_in(site: Site, login: str = "anna") -> FlaskClient:
    """A browser that is logged in already."""
    client = site.app.test_client()
    with site.store.write() as session:
        begun = office_sessions.begin(session, login, f"Werkzeug/{version('werkzeug')}", site.clock[0])
    with client.session_transaction() as cookie:
        cookie[TOKEN] = begun
    return client
