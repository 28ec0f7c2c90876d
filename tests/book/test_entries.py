"""Entries are strict JWS; another JOSE library agrees on every signature."""

import json
from base64 import urlsafe_b64decode
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jwcrypto.jwk import JWK
from jwcrypto.jws import JWS

from seamwalk.book.entry import ENTRY_TYP, Author
from seamwalk.book.jose import PrivateKey, PublicKey, base64url_decode, base64url_encode
from seamwalk.book.parsing import read_entry
from seamwalk.book.roles import RIGHTS
from seamwalk.book.types import BODIES
from seamwalk.errors import BookError

BOOK = "b0123456789abcdef"
AT = "2026-11-20T22:00:00.000Z"
ROOT = Path(__file__).parent.parent
VECTOR = json.loads((ROOT / "vectors" / "jws.json").read_text())


def test_rfc_7515_example() -> None:
    """Source: in tests/vectors/jws.json."""
    key = PublicKey(VECTOR["jwk"])
    assert key.verifies(VECTOR["compact"])
    assert not key.verifies(VECTOR["compact"].replace(".D", ".E"))
    assert base64url_decode(VECTOR["compact"].split(".")[1]).decode() == VECTOR["payload_utf8"]


def test_an_independent_library_verifies_our_entries() -> None:
    key = PrivateKey.generate()
    entry, _ = Author(key, BOOK).write("withdrawn", {"entry": "0" * 64}, AT)
    other = JWS()
    other.deserialize(entry.jws, JWK(**key.jwk))
    assert json.loads(other.payload)["body"] == {"entry": "0" * 64}
    assert JWK(**key.jwk).thumbprint() == key.thumbprint


def test_entries_of_one_device_are_chained() -> None:
    first, author = Author(PrivateKey.generate(), BOOK).write("withdrawn", {"entry": "0" * 64}, AT)
    second, _ = author.write("withdrawn", {"entry": "1" * 64}, AT)
    assert (first.n, first.prev, second.n, second.prev) == (1, None, 2, first.id)


def signed(payload: object, header: dict[str, object] | None = None) -> str:
    key = PrivateKey.generate()
    if header is None:
        return key.sign(ENTRY_TYP, json.dumps(payload).encode())
    parts = (json.dumps(header).encode(), json.dumps(payload).encode(), b"0" * 64)
    return ".".join(map(base64url_encode, parts))


GOOD = {
    "type": "withdrawn",
    "v": 1,
    "book": BOOK,
    "n": 1,
    "prev": None,
    "at": AT,
    "body": {"entry": "0" * 64},
}


@pytest.mark.parametrize(
    ("jws", "message"),
    [
        ("", "1 parts where 3"),
        ("a.b", "2 parts where 3"),
        ("é.b.c", "ASCII"),
        ("e30=.e30.AA", "not base64url"),
        (signed(GOOD)[:-1] + "!", "not base64url"),
        (signed([]), "a JSON object is needed"),
        (signed(GOOD | {"n": 0}), "payload.n: counts from 1"),
        (signed(GOOD | {"n": True}), "payload.n: int is needed"),
        (signed(GOOD | {"at": "yesterday"}), "payload.at"),
        (signed(GOOD | {"prev": "x"}), "payload.prev"),
        (signed(GOOD | {"extra": 1}), "missing or unknown: extra"),
        (signed({k: v for k, v in GOOD.items() if k != "body"}), "missing or unknown: body"),
        (signed(GOOD, {"alg": "none", "typ": ENTRY_TYP, "kid": "x"}), "alg ES256"),
        (signed(GOOD, {"alg": "ES256", "typ": "JWT", "kid": "x"}), "typ seamwalk-entry"),
        (signed(GOOD, {"alg": "ES256", "typ": ENTRY_TYP, "kid": "x", "crit": []}), "nothing else but jwk"),
    ],
)
def test_what_is_no_entry_is_refused_by_name(jws: str, message: str) -> None:
    with pytest.raises(BookError) as caught:
        read_entry(jws)
    assert message in caught.value.message


@pytest.mark.parametrize(
    ("entry_type", "body", "message"),
    [
        ("found", {"plan": "0" * 64, "checks": [], "result": "ok"}, "body.checks"),
        ("found", {"plan": "0" * 64, "checks": ["A/tile/1.1/x:y"], "result": "fault"}, "a fault has one"),
        ("found", {"plan": "0" * 64, "checks": ["A/tile/1.1/x:y"] * 2, "result": "ok"}, "named twice"),
        ("withdrawn", {"entry": "0" * 64, "why": "x"}, "body.why"),
        ("withdrawn", {"entry": "zz"}, "body.entry"),
    ],
)
def test_a_body_that_does_not_fit_is_refused_by_path(
    entry_type: str, body: dict[str, Any], message: str
) -> None:
    with pytest.raises(BookError) as caught:
        Author(PrivateKey.generate(), BOOK).write(entry_type, body, AT)
    assert message in caught.value.message


def test_every_entry_type_has_a_writer() -> None:
    written = set().union(*(rights.entry_types for rights in RIGHTS.values()))
    assert written == set(BODIES)


@given(st.text(alphabet="ABab01-_=+", max_size=9))
def test_base64url_is_taken_only_as_it_would_be_written(text: str) -> None:
    try:
        data = base64url_decode(text)
    except BookError:
        padded = text + "=" * (-len(text) % 4)
        plain = "=" not in text and "+" not in text and len(text) % 4 != 1
        assert not plain or base64url_encode(urlsafe_b64decode(padded)) != text
    else:
        assert base64url_encode(data) == text
