"""The phones' API: what it asks for, and what it answers when something is wrong."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import func, select

from helpers import NOW, Site, logged_in, send
from seamwalk import __version__
from seamwalk.book.head import Head, sign_head
from seamwalk.book.jose import PrivateKey
from seamwalk.errors import LostEntries
from seamwalk.store.ledger.books import restore_book, write_as_office
from seamwalk.store.ledger.keys import private_key
from seamwalk.store.ledger.witness import contradictions
from seamwalk.store.tables import LedgerEntry
from seamwalk_demo.crew import Answer, SimulatedPhone

CALL = {"X-Seamwalk": "1"}


def join_body(
    token: str, key: PrivateKey | None = None, changes: dict[str, Any] | None = None
) -> dict[str, Any]:
    key = key or PrivateKey.generate()
    proof = key.sign("seamwalk-join", json.dumps({"token": token}).encode())
    return {"token": token, "jwk": key.jwk, "name": "Rosa", "proof": proof} | (changes or {})


def test_health_says_what_runs(site: Site) -> None:
    answer = site.app.test_client().get("/api/v1/health").get_json()
    assert answer["seamwalk"] == 1
    assert answer["version"] == __version__
    assert answer["database_version"]
    assert answer["database"] in ("sqlite", "postgresql")
    assert answer["writers"] == "one at a time"


def test_an_invite_lets_one_phone_in_even_when_two_race(site: Site) -> None:
    token = site.invite()

    def try_to_join(_: int) -> int:
        client = site.app.test_client()
        return client.post(
            "/api/v1/join", json=join_body(token, PrivateKey.generate()), headers=CALL
        ).status_code

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(try_to_join, range(2))) == [200, 410]


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"name": "  "}, 400, "name"),
        ({"name": "x" * 61}, 400, "name"),
        ({"name": 5}, 400, "name"),
        ({"jwk": {"kty": "RSA"}}, 400, "jwk"),
        ({"proof": "a.b.c"}, 403, "proof"),
        ({"token": "other"}, 403, "proof"),
    ],
)
def test_a_wrong_join_names_the_field_and_the_mend(
    site: Site, changes: dict[str, Any], code: int, field: str
) -> None:
    body = join_body(site.invite(), PrivateKey.generate(), changes)
    response = site.app.test_client().post("/api/v1/join", json=body, headers=CALL)
    assert response.status_code == code
    assert response.get_json()["field"] == field
    assert response.get_json()["remedy"]


def entries_of(site: Site) -> int:
    with site.store.read() as session:
        return session.scalar(select(func.count()).select_from(LedgerEntry)) or 0


def why_not(site: Site, body: dict[str, Any]) -> str:
    """Join, which fails: the code that says why, without a word of what the invite is made of."""
    response = site.app.test_client().post("/api/v1/join", json=body, headers=CALL)
    answer = response.get_json()
    assert response.status_code == 410
    assert "token" not in answer["message"] + answer["remedy"]
    return str(answer["error"])


def test_an_invite_that_lets_nobody_in_says_which_of_three_it_is(site: Site) -> None:
    used, late = site.invite(), site.invite(hours=1)
    assert site.app.test_client().post("/api/v1/join", json=join_body(used), headers=CALL).status_code == 200
    site.clock[0] = NOW + timedelta(hours=2)
    site.invite()
    for token, why in ((used, "used"), (late, "expired"), (late[:-1] + "_", "unknown")):
        assert why_not(site, join_body(token)) == f"invite_{why}"


def test_a_phone_whose_answer_was_lost_joins_again_as_it_did(site: Site) -> None:
    body = join_body(site.invite(role="chief"))
    client = site.app.test_client()
    first = client.post("/api/v1/join", json=body, headers=CALL).get_json()
    admitted = entries_of(site)
    site.clock[0] = NOW + timedelta(days=2)
    assert client.post("/api/v1/join", json=body, headers=CALL).get_json() == first
    assert entries_of(site) == admitted


def test_a_revoked_phone_does_not_come_back_by_the_invite_it_used(site: Site) -> None:
    body = join_body(site.invite())
    device = site.app.test_client().post("/api/v1/join", json=body, headers=CALL).get_json()["device"]
    send(logged_in(site), f"/office/shows/test-show/devices/{device}/revoke", reason="left in a taxi")
    assert why_not(site, body) == "invite_used"


def test_changes_need_our_header_and_our_origin(site: Site) -> None:
    client = site.app.test_client()
    path = f"/api/v1/books/{site.book}/sync"
    body = {"after": 0, "entries": []}
    assert client.post(path, json=body).status_code == 403
    foreign = CALL | {"Origin": "https://elsewhere.test"}
    assert client.post(path, json=body, headers=foreign).status_code == 403
    assert client.post(path, json=body, headers=CALL | {"Origin": "http://localhost"}).status_code == 200


def test_reading_needs_the_cookie_pushing_does_not(site: Site) -> None:
    phone = site.phone()
    plan, file = phone.plan("A")
    entry = phone.write("found", {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}, NOW)
    body = {"after": 0, "entries": [entry.jws]}
    answer = (
        site.app.test_client().post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL).get_json()
    )
    assert answer["reading"] == "sign_in"
    assert answer["entries"] is None
    assert answer["verdicts"][0]["verdict"] == "kept"


def test_a_signed_nonce_renews_the_cookie_once(site: Site) -> None:
    phone = site.phone()
    client = site.app.test_client()
    device = {"device": phone.key.thumbprint}
    nonce = client.post("/api/v1/nonce", json=device, headers=CALL).get_json()["nonce"]
    proof = phone.key.sign("seamwalk-session", json.dumps({"nonce": nonce}).encode())
    assert client.post("/api/v1/session", json={**device, "proof": proof}, headers=CALL).status_code == 200
    body = {"after": 0, "entries": []}
    answer = client.post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL).get_json()
    assert answer["reading"] == "ok"
    assert client.post("/api/v1/session", json={**device, "proof": proof}, headers=CALL).status_code == 403


def test_a_phone_that_knows_more_than_the_server_is_told(site: Site) -> None:
    phone = site.phone()
    body = {"after": 99, "entries": []}
    response = phone.client.post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL)
    assert (response.status_code, response.json["error"]) == (409, "lost_entries")


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"after": "x", "entries": []}, "after"),
        ({"after": 0}, "entries"),
        ({"after": -1, "entries": []}, "after"),
        ({"after": 0, "entries": [1]}, "entries"),
    ],
)
def test_a_wrong_sync_body_names_the_field(site: Site, body: dict[str, Any], field: str) -> None:
    response = site.app.test_client().post(f"/api/v1/books/{site.book}/sync", json=body, headers=CALL)
    assert response.status_code == 400
    assert response.get_json()["field"] == field


def test_blobs_go_by_their_hash_and_need_the_cookie(site: Site) -> None:
    phone = site.phone()
    name = phone.note("a note")
    data = phone.blobs.pop()
    path = f"/api/v1/books/{site.book}/blobs/{name}"
    assert site.app.test_client().put(path, data=data, headers=CALL).status_code == 401
    assert phone.client.put(path, data=b"other", headers=CALL).status_code == 422
    assert phone.client.put(path, data=b"x" * 1_000_001, headers=CALL).status_code == 413
    assert phone.client.put(path, data=data, headers=CALL).status_code == 201
    assert phone.client.get(path).data == data
    unauthorised = site.app.test_client().get(path)
    assert unauthorised.status_code == 401
    assert unauthorised.get_json()["seamwalk"] == 1


def test_too_large_a_body_is_told_so_in_json(site: Site) -> None:
    path = f"/api/v1/books/{site.book}/sync"
    body = {"after": 0, "entries": ["x" * 4_100_000]}
    response = site.app.test_client().post(path, json=body, headers=CALL)
    assert response.status_code in (400, 413)
    assert response.get_json()["seamwalk"] == 1


def test_an_unknown_book_and_an_unknown_path_answer_in_json(site: Site) -> None:
    client = site.app.test_client()
    entry = site.phone().write("withdrawn", {"entry": "0" * 64}, NOW)
    body = {"after": 0, "entries": [entry.jws]}
    for response in (
        client.post("/api/v1/books/b0000000000000000/sync", json=body, headers=CALL),
        client.get("/api/v1/nothing"),
    ):
        assert response.status_code == 404
        assert response.get_json()["remedy"]


def show_head(phone: SimulatedPhone, head: object) -> Answer:
    body = {"after": phone.frontier.tree_size, "entries": [], "head": head}
    return phone.client.post(f"/api/v1/books/{phone.book}/sync", json=body, headers=CALL)


@pytest.mark.parametrize("head", ["junk", "a.b.c", 7, ["x"]])
def test_what_is_no_head_is_refused(site: Site, head: object) -> None:
    answer = show_head(site.phone(), head)
    assert answer.status_code in (400, 422)
    assert answer.json["remedy"]


def test_a_head_of_a_strange_key_stops_nobody_else(site: Site) -> None:
    phone, other = site.phone(name="Rosa"), site.phone(name="Ilse")
    forged = sign_head(PrivateKey.generate(), Head(site.book, 1, 99, "0" * 64, "")).jws
    assert show_head(phone, forged).json["error"] == "lost_entries"
    assert other.sync() == []
    assert other.client.get(f"/api/v1/books/{site.book}/blobs/{'0' * 64}").status_code == 404
    with site.store.read() as session:
        assert contradictions(session, site.book) == []


def test_a_true_head_beyond_the_books_end_stops_the_book_until_it_is_restored(site: Site) -> None:
    phone = site.phone()
    with site.store.read() as session:
        key = private_key(session, site.book, "head")
    beyond = sign_head(key, Head(site.book, 1, phone.frontier.tree_size + 3, "0" * 64, "")).jws
    assert show_head(phone, beyond).json["error"] == "lost_entries"
    body = {"device": phone.key.thumbprint, "reason": "x"}
    with site.store.write() as session, pytest.raises(LostEntries, match="has seen 6 entries"):
        write_as_office(session, site.book, "device_revoked", body, NOW)
    with site.store.write() as session:
        restore_book(session, site.book, NOW)
    assert phone.sync() == []
    assert phone.frontier.tree_size == 4
