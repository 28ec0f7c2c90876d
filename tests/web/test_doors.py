"""The doors of the server: hosts, cookies, forms, addresses to go on to, labels, invites and challenges."""

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import func, select
from werkzeug.test import TestResponse

from helpers import NOW, PASSWORD, Site, client_of, cookie_of, logged_in, send, token
from seamwalk.book.roles import RIGHTS
from seamwalk.config import Settings, load_settings
from seamwalk.domain.stock.codes import Code
from seamwalk.errors import ConfigError, LimitReached
from seamwalk.store.access import phones
from seamwalk.store.db import db
from seamwalk.store.stock.labels import company_book, register_items
from seamwalk.store.tables import DeviceSession, Invite, Nonce
from seamwalk.web import create_app
from seamwalk_demo.crew import SimulatedPhone

CALL = {"X-Seamwalk": "1"}
LOGIN = "/office/login"
LABEL = Code("HQ", "T", 1).text


Maker = Callable[..., Flask]


@pytest.fixture
def made(site: Site, tmp_path: Path) -> Iterator[Maker]:
    """Makes further apps over the site's database, with other settings."""
    apps: list[Flask] = []

    def make(public_url: str = "http://localhost", **fields: Any) -> Flask:
        settings = site.app.extensions["seamwalk"].settings
        more = {"given_key_file": settings.key_file} | fields
        app = create_app(
            Settings(tmp_path, settings.database_url, public_url, "not a secret", **more),
            lambda: site.clock[0],
        )
        apps.append(app)
        return app

    yield make
    for app in apps:
        app.extensions["seamwalk"].store.engine.dispose()


# --- hosts


def test_only_the_public_host_and_this_machine_are_served(made: Maker) -> None:
    client = made("https://walls.example:8443", trusted_hosts=("old.example",)).test_client()
    for host in (
        "walls.example",
        "walls.example:8443",
        "localhost:9",
        "127.0.0.1",
        "old.example",
    ):
        assert client.get("/", headers={"Host": host}).status_code == 200
    for host in (
        "elsewhere.example",
        "x.walls.example",
        "10.0.0.1",
        "",
        "walls.example.evil",
        "a b",
        "l\xf6ca",
    ):
        for path in ("/", "/office/", "/phone/", "/nothing"):
            page = client.get(path, headers={"Host": host})
            assert page.status_code == 400
            assert "SEAMWALK_TRUSTED_HOSTS" in page.text
        answer = client.post("/api/v1/nonce", json={"device": "x"}, headers=CALL | {"Host": host})
        assert (answer.status_code, answer.get_json()["error"]) == (400, "other_host")
        assert "https://walls.example:8443" in answer.get_json()["remedy"]


def test_another_host_is_refused_even_to_somebody_who_is_logged_in(site: Site) -> None:
    client = logged_in(site)
    cookie = cookie_of(client, "seamwalk_office")
    answer = client.get("/office/", headers={"Host": "evil.example", "Cookie": f"seamwalk_office={cookie}"})
    assert answer.status_code == 400
    assert "anna" not in answer.text


# --- cookies


def flags(answer: TestResponse) -> dict[str, set[str]]:
    found = {}
    for line in answer.headers.getlist("Set-Cookie"):
        name, *parts = line.split("; ")
        found[name.partition("=")[0]] = {
            part for part in parts if not part.startswith(("Expires", "Max-Age"))
        }
    return found


@pytest.mark.parametrize(
    ("url", "prefix", "more"),
    [("https://walls.example", "__Host-", {"Secure"}), ("http://localhost:8460", "", set())],
)
def test_cookies_are_for_this_host_and_no_script(
    site: Site, made: Maker, url: str, prefix: str, more: set[str]
) -> None:
    client = made(url).test_client()
    page = client.get(LOGIN, base_url=url)
    data = {"login": "anna", "password": PASSWORD, "csrf_token": token(page.text)}
    answer = client.post(LOGIN, data=data, base_url=url, headers={"Origin": url})
    expected = {"HttpOnly", "SameSite=Strict", "Path=/"} | more
    assert flags(answer) == {f"{prefix}seamwalk_office": expected, f"{prefix}seamwalk_known": expected}
    assert client.get("/office/", base_url=url).status_code == 200
    phone = site.phone()
    device = {"device": phone.key.thumbprint}
    nonce = client.post("/api/v1/nonce", json=device, headers=CALL, base_url=url).get_json()["nonce"]
    proof = phone.key.sign("seamwalk-session", json.dumps({"nonce": nonce}).encode())
    body = device | {"proof": proof}
    answer = client.post("/api/v1/session", json=body, headers=CALL, base_url=url)
    assert flags(answer) == {f"{prefix}seamwalk_device": expected}
    path = f"/api/v1/books/{site.book}/sync"
    asked = {"after": 0, "entries": []}
    assert client.post(path, json=asked, headers=CALL, base_url=url).get_json()["reading"] == "ok"


# --- forms and where they lead


def posted(site: Site) -> list[str]:
    """The address of every form of the office, for the things of the site."""
    phone = site.phone()
    values = {"name": "test-show", "wall": "A", "device": phone.key.thumbprint, "entry": "0" * 64}
    values |= {"token_hash": "0" * 64, "code": Code("HQ", "T", 1).text, "kind": "tile", "key": "plover_500"}
    values |= {"edition": "0" * 64, "fmt": "csv", "walk": "build", "what": "x", "saved": "x", "act": "x"}
    found = []
    with site.app.test_request_context():
        for rule in site.app.url_map.iter_rules():
            if rule.endpoint.startswith("office.") and "POST" in (rule.methods or ()):
                given = {name: values.get(name, "x") for name in rule.arguments}
                found.append(site.app.url_map.bind("localhost").build(rule.endpoint, given, method="POST"))
    return found


def rows(site: Site) -> dict[str, list[str]]:
    with site.store.engine.connect() as connection:
        return {
            table.name: sorted(map(str, connection.execute(select(table))))
            for table in db.metadata.sorted_tables
        }


@pytest.mark.parametrize("sent", [{}, {"csrf_token": "no"}, {"csrf_token": "20990101000000##00"}])
def test_no_form_changes_anything_without_its_token(site: Site, sent: dict[str, str]) -> None:
    paths, client = posted(site), logged_in(site)
    assert len(paths) > 20
    before = rows(site)
    fields = {
        "title": "T",
        "slug": "t",
        "reason": "x",
        "role": "crew",
        "hours": "2",
        "count": "2",
        "wall": "B",
    }
    fields |= {"kind": "tile", "page": "A4", "name": "x", "text": "{}", "code": "1", "password": PASSWORD}
    for path in paths:
        answer = client.post(path, data=fields | {"new_password": "otter blue quick mast"} | sent)
        assert answer.status_code != 302 or answer.headers["Location"].startswith(LOGIN), path
    assert rows(site) == before


def test_what_another_site_sends_is_refused(site: Site) -> None:
    client = logged_in(site)
    page = client.get("/office/").text
    for headers in ({"Origin": "https://evil.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Origin": "null"}):
        answer = client.post("/office/logout", data={"csrf_token": token(page)}, headers=headers)
        assert answer.status_code == 403
    assert client.get("/office/").status_code == 200


@pytest.mark.parametrize(
    ("path", "followed"),
    [
        ("/office/shows/test-show", "/office/shows/test-show"),
        ("/office/account", "/office/account"),
        ("/office/shows/x\r\nSet-Cookie: a=b", "/office/"),
        (f"/L/{LABEL}", f"/L/{LABEL}"),
        ("\r\n/office/", "/office/"),
        ("//evil.example/office/", "/office/"),
        ("/office//evil.example", "/office/"),
        ("https://evil.example/office/", "/office/"),
        ("/office/\\evil.example", "/office/"),
        ("/office/../api/v1/health", "/office/"),
        ("/api/v1/health", "/office/"),
        ("/office/logout", "/office/"),
        ("javascript:alert(1)", "/office/"),
        ("", "/office/"),
    ],
)
def test_after_the_login_only_our_own_pages_are_followed(site: Site, path: str, followed: str) -> None:
    client = site.app.test_client()
    page = client.get(LOGIN).text
    data = {"login": "anna", "password": PASSWORD, "csrf_token": token(page)}
    answer = client.post(LOGIN, query_string={"next": path}, data=data)
    assert answer.status_code == 302
    assert answer.headers["Location"] == followed
    assert [name for name, _ in answer.headers if name == "a"] == []


def test_no_page_leads_on_to_another_site_or_breaks_by_its_address(site: Site) -> None:
    client = site.app.test_client()
    for path in ("/office/%0d%0aX:y", "/office/shows/%0d%0a", "/office/shows/%ff%fe"):
        answer = client.get(path)
        assert answer.status_code in (302, 404)
        assert answer.headers.get("Location", LOGIN).startswith(LOGIN)
        assert logged_in(site).get(path).status_code == 404


# --- labels


def pages_of_labels(client: FlaskClient) -> list[str]:
    """What a label that is here, one that is revoked and one that never was say, but for their codes."""
    return [
        client.get(f"/L/{code.text}").text.replace(code.grouped, "CODE").replace(code.text, "CODE")
        for code in (Code("HQ", "T", 1), Code("HQ", "T", 2), Code("HQ", "T", 77))
    ]


@pytest.fixture
def labelled(site: Site) -> Site:
    with site.store.write() as session:
        book = company_book(session, "Test Company", NOW)
        fields: dict[str, Any] = {"kind": "tile", "tile_type": "plover_500", "now": NOW}
        register_items(session, book, prefix="HQ", count=2, **fields)
    client = logged_in(site)
    send(client, "/office/labels/revoke", revoked=Code("HQ", "T", 2).grouped, reason="Misprint.")
    return site


def test_a_label_tells_a_stranger_whose_it_is_and_whom_to_call(labelled: Site, made: Maker) -> None:
    stranger = made(company="Test Company", contact="+49 30 5550100").test_client()
    pages = pages_of_labels(stranger)
    assert len(set(pages)) == 1
    assert "This belongs to Test Company." in pages[0]
    assert '<a href="tel:+49305550100">+49 30 5550100</a>' in pages[0]
    for hidden in ("plover", "Misprint", "At home", "Nothing is written", "revoked"):
        assert hidden not in pages[0]
    named = made(contact="Ada <b>, at the desk").test_client().get(f"/L/{LABEL}").text
    assert "Ada &lt;b&gt;, at the desk" in named
    assert "This belongs to somebody" in named
    assert "give it to the crew" in made().test_client().get(f"/L/{LABEL}").text


def test_who_belongs_to_the_show_sees_what_a_label_says(labelled: Site) -> None:
    phones = (labelled.phone(), labelled.phone("warehouse"))
    for client in (*map(client_of, phones), logged_in(labelled, "wim")):
        known, revoked, unknown = pages_of_labels(client)
        assert "plover_500" in known
        assert "Misprint." in revoked
        assert "Nothing is written" in unknown
    for role in ("partner", "client"):
        assert len(set(pages_of_labels(client_of(labelled.phone(role))))) == 1


def test_a_revoked_phone_is_a_stranger(labelled: Site) -> None:
    phone = labelled.phone()
    path = f"/office/shows/test-show/devices/{phone.key.thumbprint}/revoke"
    send(logged_in(labelled), path, reason="lost")
    assert len(set(pages_of_labels(client_of(phone)))) == 1


# --- invites, challenges, sessions of phones


def test_a_stranger_who_asks_for_challenges_fills_no_table(site: Site) -> None:
    client = site.app.test_client()
    for number in range(300):
        answer = client.post("/api/v1/nonce", json={"device": f"{number:043}"}, headers=CALL)
        assert answer.status_code == 200
    with site.store.read() as session:
        assert session.scalar(select(func.count()).select_from(Nonce)) == 0


def sign_in(site: Site, phone: SimulatedPhone, nonce: str) -> TestResponse:
    proof = phone.key.sign("seamwalk-session", json.dumps({"nonce": nonce}).encode())
    body = {"device": phone.key.thumbprint, "proof": proof}
    return site.app.test_client().post("/api/v1/session", json=body, headers=CALL)


def nonce_for(site: Site, device: str) -> str:
    made = site.app.test_client().post("/api/v1/nonce", json={"device": device}, headers=CALL)
    return str(made.get_json()["nonce"])


def test_a_challenge_is_good_once_for_its_device_and_five_minutes(site: Site) -> None:
    phone, other = site.phone(), site.phone(name="Ilse")
    nonce = nonce_for(site, phone.key.thumbprint)
    assert sign_in(site, other, nonce).status_code == 403
    assert sign_in(site, phone, nonce).status_code == 200
    assert sign_in(site, phone, nonce).status_code == 403
    late = nonce_for(site, phone.key.thumbprint)
    site.clock[0] += phones.NONCE_LIFETIME
    assert sign_in(site, phone, late).status_code == 403
    for wrong in (late[:-1], "", "x.y", "\u00e9", "a" * 5000):
        assert sign_in(site, phone, wrong).status_code == 403


def test_one_phone_signs_in_so_often_and_no_more(site: Site) -> None:
    phone, other = site.phone(), site.phone(name="Ilse")
    for _ in range(phones.MAX_SIGN_INS):
        assert sign_in(site, phone, nonce_for(site, phone.key.thumbprint)).status_code == 200
    answer = sign_in(site, phone, nonce_for(site, phone.key.thumbprint))
    assert (answer.status_code, answer.get_json()["error"]) == (429, "too_many")
    assert int(answer.headers["Retry-After"]) == 300
    assert sign_in(site, other, nonce_for(site, other.key.thumbprint)).status_code == 200
    with site.store.read() as session:
        mine = select(func.count()).select_from(DeviceSession)
        mine = mine.where(DeviceSession.device == phone.key.thumbprint)
        assert session.scalar(mine) == phones.MAX_SESSIONS
    site.clock[0] += timedelta(minutes=6)
    assert sign_in(site, phone, nonce_for(site, phone.key.thumbprint)).status_code == 200


def test_open_invites_are_limited_taken_back_and_removed_after_they_expire(site: Site) -> None:
    tokens = [site.invite(hours=1) for _ in range(phones.MAX_OPEN_INVITES)]
    with pytest.raises(LimitReached, match="wait to be used"):
        site.invite()
    client, path = logged_in(site), "/office/shows/test-show/invite"
    assert "Take them back" in send(client, path, role="crew", hours="2").text
    site.clock[0] += timedelta(hours=1)
    site.invite()
    assert "Invites that wait to be used: 1." in client.get(path).text
    site.clock[0] += timedelta(days=30)
    site.invite()
    with site.store.read() as session:
        assert session.scalar(select(func.count()).select_from(Invite)) == 2
    client = logged_in(site)
    page = client.get(path).text
    assert "Invites that wait to be used: 1." in page
    assert client.post(f"{path}/take-back", data={"csrf_token": token(page)}).status_code == 302
    assert "wait to be used" not in client.get(path).text
    with site.store.write() as session, pytest.raises(Exception, match="no such invite"):
        phones.use_invite(session, tokens[0], "d", site.clock[0])


# --- settings


@pytest.mark.parametrize("proxies", ["x", "-1", "10", "1.5", "²"])
def test_a_number_of_proxies_is_one(tmp_path: Path, proxies: str) -> None:
    with pytest.raises(ConfigError, match="SEAMWALK_PROXIES"):
        load_settings({"SEAMWALK_DIR": str(tmp_path), "SEAMWALK_PROXIES": proxies})


def test_behind_a_proxy_that_is_named_a_strangers_address_is_his_own(made: Maker) -> None:
    for proxies, mine in ((0, 429), (1, 302)):
        app = made(proxies=proxies)
        for number, expected in ((1, 200), (1, 200), (1, 200), (1, 200), (1, 200), (2, mine)):
            client = app.test_client()
            headers = {"X-Forwarded-For": f"203.0.113.9, 198.51.100.{number}"}
            page = client.get(LOGIN, headers=headers).text
            password = PASSWORD if number == 2 else "wrong"
            data = {"login": "anna", "password": password, "csrf_token": token(page)}
            assert client.post(LOGIN, data=data, headers=headers).status_code == expected


def test_every_role_of_the_office_may_look_after_its_own_login() -> None:
    assert all("home" in rights.areas for rights in RIGHTS.values() if rights.areas)
