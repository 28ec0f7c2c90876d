"""Entries read from their texts: what an entry may say at all is decided here, on the way in and in verify.

Each test has a code (`BookError.code`), and they are made in this order: text, too_long, base64url, header,
jwk, payload, signature_form; FORMAT.md lists them. Whether the signature is the device's, what a type's body
may hold and who may write it is judged by `trust.py`.
"""

import json
import re
from collections.abc import Callable
from datetime import datetime
from functools import lru_cache
from typing import Any, TypeVar

from seamwalk.book.entry import ENTRY_TYP, REMEDY, Entry, entry_id
from seamwalk.book.jose import ALGORITHM, Jwk, PublicKey, base64url_decode, cut, public_members, scalars
from seamwalk.book.json_text import MAX_INTEGER, no_twice, read_json
from seamwalk.book.rules import FIRST, NEWEST
from seamwalk.book.types import filled
from seamwalk.errors import BookError

MAX_ENTRY_BYTES = 1_000_000
MAX_HEADER_BYTES = 4096
MAX_DEPTH = 16
_HEADER_KEYS = {"alg", "typ", "kid", "jwk"}
_PAYLOAD_KEYS = {"type", "v", "book", "n", "prev", "at", "body"}
_KINDS = (("type", str), ("v", int), ("book", str), ("n", int), ("at", str), ("body", dict))
_AT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
_HASH = re.compile(r"[0-9a-f]{64}")
_BOOK = re.compile(r"b[0-9a-f]{16}")
_TYPE = re.compile(r"[a-z][a-z0-9_]{0,39}")
_MAX_VERSION = 9999
_Raw = TypeVar("_Raw")
_Read = TypeVar("_Read")


def read_entry(jws: str, rules: int = NEWEST) -> Entry:
    """Read an entry under the rules of a number; raise BookError naming the member that is wrong.

    Its signature and its book are judged elsewhere.
    """
    header, payload_text, signature = _coded("text", cut, jws)
    if len(jws) > MAX_ENTRY_BYTES:
        raise BookError(f"entry: over {MAX_ENTRY_BYTES} bytes", REMEDY, "too_long")
    if rules >= NEWEST and len(header) > MAX_HEADER_BYTES:
        raise BookError(f"header: over {MAX_HEADER_BYTES} bytes", REMEDY, "too_long")
    read = _read_newest if rules >= NEWEST else _read_first
    device, jwk, payload = read(header, _coded("base64url", base64url_decode, payload_text), signature)
    payload["body"] = filled(payload["type"], payload["v"], payload["body"])
    return Entry(jws, entry_id(jws), device, jwk, **payload)


def read_kept(jws: str) -> Entry:
    """Read an entry that a book keeps, under whichever rules it was let in."""
    return read_entry(jws, FIRST)


def flaw_of(entry: Entry) -> BookError | None:
    """What the newest rules would refuse in a text that older ones let in; None when nothing."""
    try:
        read_entry(entry.jws)
    except BookError as error:
        return error
    return None


def _coded(code: str, read: Callable[[_Raw], _Read], raw: _Raw) -> _Read:
    """What `read` makes of something; a BookError that it raises gets this code."""
    try:
        return read(raw)
    except BookError as error:
        raise BookError(error.message, error.remedy, code) from error


def _wrong(member: str, what: str) -> BookError:
    return BookError(f"{member}: {what}", REMEDY, member.partition(".")[0])


# --- rules 2 ---


def _read_newest(header: str, payload: bytes, signature: str) -> tuple[str, Jwk | None, dict[str, Any]]:
    device, jwk = _header(header)
    value = _coded("payload", _read_payload, payload)
    _check_members(value)
    _check_values(value)
    _coded("signature_form", scalars, signature)
    return device, jwk, value


def _read_payload(data: bytes) -> Any:
    return read_json(data, MAX_DEPTH)


@lru_cache(maxsize=1024)
def _header(text: str) -> tuple[str, Jwk | None]:
    """The device and the key that a header names; a device's headers are all the same."""
    data = _coded("base64url", base64url_decode, text)
    header = _coded("header", lambda data: read_json(data, 2), data)
    _check_header(header)
    return header["kid"], _jwk(header) if "jwk" in header else None


def _jwk(header: dict[str, Any]) -> Jwk:
    jwk = header["jwk"]
    if not isinstance(jwk, dict) or set(jwk) != {"crv", "kty", "x", "y"}:
        raise _wrong("jwk", "crv, kty, x and y are needed, and nothing else")
    if _coded("jwk", PublicKey, jwk).thumbprint != header["kid"]:
        raise _wrong("jwk", "it is not the key that kid names")
    return public_members(jwk)


def _check_values(payload: dict[str, Any]) -> None:
    if not _TYPE.fullmatch(payload["type"]):
        raise _wrong("payload.type", "a name of at most 40 small letters, digits and _ is needed")
    if not _BOOK.fullmatch(payload["book"]):
        raise _wrong("payload.book", "a book's id is needed, b and 16 hex digits")
    if not 1 <= payload["v"] <= _MAX_VERSION:
        raise _wrong("payload.v", f"a version from 1 to {_MAX_VERSION} is needed")
    if payload["n"] > MAX_INTEGER:
        raise _wrong("payload.n", "it is over 2^53 - 1")
    _check_instant(payload["at"])


def _check_instant(at: str) -> None:
    """An instant of RFC 3339 in UTC, in milliseconds and ASCII digits, that a calendar has."""
    try:
        if not at.isascii() or at[11:13] == "24":  # ISO 8601 knows an hour 24, RFC 3339 does not
            raise ValueError
        datetime.fromisoformat(at)
    except ValueError as error:
        raise _wrong("payload.at", f"{at!r} is not an instant") from error


# --- rules 1, as they were: what they let in is read forever ---


def _read_first(header: str, payload: bytes, signature: str) -> tuple[str, Jwk | None, dict[str, Any]]:
    device, jwk = _first_header(header)
    value = _first_json(payload, "payload")
    _check_members(value)
    _coded("signature_form", base64url_decode, signature)
    return device, jwk, value


@lru_cache(maxsize=1024)
def _first_header(text: str) -> tuple[str, Jwk | None]:
    header = _first_json(_coded("base64url", base64url_decode, text), "header")
    _check_header(header)
    return header["kid"], _coded("jwk", public_members, header["jwk"]) if "jwk" in header else None


def _first_json(data: bytes, what: str) -> Any:
    try:
        return _FIRST_DECODER.decode(data.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise BookError(f"{what}: not JSON ({error})", REMEDY, what) from error


_FIRST_DECODER = json.JSONDecoder(object_pairs_hook=no_twice)


# --- both ---


def _check_header(header: Any) -> None:
    if not isinstance(header, dict):
        raise _wrong("header", "a JSON object is needed")
    if header.get("alg") != ALGORITHM or header.get("typ") != ENTRY_TYP:
        raise _wrong("header", f"alg {ALGORITHM} and typ {ENTRY_TYP} are needed")
    if not isinstance(header.get("kid"), str) or not set(header) <= _HEADER_KEYS:
        raise _wrong("header", "kid is needed, and nothing else but jwk is known")


def _check_members(payload: Any) -> None:
    if not isinstance(payload, dict):
        raise _wrong("payload", "a JSON object is needed")
    if set(payload) != _PAYLOAD_KEYS:
        odd = ", ".join(sorted(set(payload) ^ _PAYLOAD_KEYS))
        raise _wrong("payload", f"members missing or unknown: {odd}")
    for member, kind in _KINDS:
        if type(payload[member]) is not kind:
            raise _wrong(f"payload.{member}", f"{kind.__name__} is needed")
    if payload["n"] < 1:
        raise _wrong("payload.n", "counts from 1")
    if not _AT.fullmatch(payload["at"]):
        raise _wrong("payload.at", "a UTC time like 2026-11-25T10:31:43.123Z is needed")
    prev = payload["prev"]
    if prev is not None and not (isinstance(prev, str) and _HASH.fullmatch(prev)):
        raise _wrong("payload.prev", "an entry id or null is needed")
