"""Entries and heads that no phone writes are answered by a verdict or a refusal, whoever sends them."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from fuzz.fuzz_hostile import LONE, payload, signed, unsigned
from fuzz.fuzz_site import Fuzzed
from seamwalk.book.jose import PrivateKey
from seamwalk_demo.crew import Answer

CALL = {"X-Seamwalk": "1", "Content-Type": "application/json"}
NUL, LONG = "\0", "A" * 43
KIDS = [LONE, NUL, LONE + LONG[1:], NUL + LONG[1:], LONG, "", "x" * 5_000, "é" * 43]
NUMBERS = [
    "9223372036854775807",
    "9223372036854775808",
    "1" + "0" * 30,
    "-1",
    "0",
    "1.5",
    "1e3",
    "NaN",
    "true",
]
Made = Callable[[PrivateKey, str], str]


def told(book: str, **raw: str) -> bytes:
    """A payload with members written as they are, which JSON's own writer would not do."""
    text = json.dumps(payload(book) | {name: f"@{name}" for name in raw})
    for name, value in raw.items():
        text = text.replace(f'"@{name}"', value)
    return text.encode("utf-8", "surrogatepass")


def header(key: PrivateKey, **changes: Any) -> dict[str, Any]:
    return {"alg": "ES256", "jwk": key.jwk, "kid": key.thumbprint, "typ": "seamwalk-entry"} | changes


def numbered(member: str, number: str) -> Made:
    return lambda key, book: signed(key, told(book, **{member: number}))


def named(kid: str, leave_out: str = "") -> Made:
    def made(key: PrivateKey, book: str) -> str:
        given = header(key, kid=kid)
        return unsigned({name: given[name] for name in given if name != leave_out}, payload(book))

    return made


ENTRIES: dict[str, Made] = {
    **{f"n of {n}": numbered("n", n) for n in NUMBERS},
    **{f"v of {n}": numbered("v", n) for n in NUMBERS},
    **{f"kid {kid[:8]!a}": named(kid) for kid in KIDS},
    **{f"kid {kid[:8]!a}, no jwk": named(kid, leave_out="jwk") for kid in KIDS},
    "a type with a lone surrogate": lambda key, book: signed(key, payload(book, type="found" + LONE)),
    "a type with a NUL": lambda key, book: signed(key, payload(book, type="found" + NUL)),
    "a book with a NUL": lambda key, book: signed(key, payload(NUL)),
    "a prev of surrogates": lambda key, book: signed(key, payload(book, prev=LONE * 64)),
    "an entry of surrogates": lambda key, book: signed(key, payload(book, body={"entry": LONE * 64})),
    "a jwk of surrogates": lambda key, book: unsigned(header(key, jwk={**key.jwk, "x": LONE}), payload(book)),
    "no jwk but a text": lambda key, book: unsigned(header(key, jwk="x"), payload(book)),
    "a deep payload": lambda key, book: signed(key, b"[" * 9_000 + b"]" * 9_000),
    "a payload that is no JSON": lambda key, book: signed(key, b"\xff"),
    "no JWS": lambda key, book: "x",
    "a surrogate": lambda key, book: LONE,
    "a NUL": lambda key, book: f"a.{NUL}.b",
    "nothing": lambda key, book: "",
}


def head_of(fuzzed: Fuzzed) -> dict[str, Any]:
    return {
        "book": fuzzed.site.book,
        "epoch": 1,
        "size": 1,
        "root": "0" * 64,
        "at": "2026-11-20T22:00:00.000Z",
    }


def sync(fuzzed: Fuzzed, **body: Any) -> Answer:
    """As JSON that may hold lone surrogates, by a phone of the show."""
    path = f"/api/v1/books/{fuzzed.site.book}/sync"
    data = json.dumps({"after": 0, "entries": [], "head": None} | body).encode()
    return fuzzed.ask(fuzzed.phone.client.post, path, data=data, headers=CALL)


@pytest.mark.parametrize("made", ENTRIES.values(), ids=ENTRIES)
def test_an_entry_that_no_phone_writes_gets_a_verdict(fuzzed: Fuzzed, made: Made) -> None:
    text = made(PrivateKey.generate(), fuzzed.site.book)
    answer = sync(fuzzed, entries=[text])
    if NUL in text or LONE in text:  # the call itself cannot carry it
        assert (answer.status_code, answer.json["error"]) == (400, "not_json")
        return
    assert answer.status_code == 200
    (verdict,) = answer.json["verdicts"]
    assert verdict["verdict"] in ("held", "refused"), verdict
    assert verdict["remedy"]


@pytest.mark.parametrize("value", [*NUMBERS, '"\\ud800"', '"\\u0000"', "null", "[]", '"x"'])
@pytest.mark.parametrize("member", ["book", "epoch", "size", "root"])
def test_a_head_that_no_server_signed_is_refused(fuzzed: Fuzzed, member: str, value: str) -> None:
    text = json.dumps(head_of(fuzzed) | {member: "@"}).replace('"@"', value)
    answer = sync(fuzzed, head=PrivateKey.generate().sign("seamwalk-head", text.encode()))
    assert 400 <= answer.status_code < 500
    assert answer.json["remedy"]


@pytest.mark.parametrize("kid", KIDS)
def test_a_head_may_name_any_key(fuzzed: Fuzzed, kid: str) -> None:
    made = {"alg": "ES256", "kid": kid, "typ": "seamwalk-head"}
    answer = sync(fuzzed, head=unsigned(made, head_of(fuzzed)))
    assert 400 <= answer.status_code < 500
    assert answer.json["remedy"]
