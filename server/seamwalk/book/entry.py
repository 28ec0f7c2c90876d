"""One entry of a book: a compact JWS whose exact bytes are kept for ever."""

import json
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

from pydantic import ValidationError

from seamwalk.book import merkle
from seamwalk.book.jose import ALGORITHM, Jwk, PrivateKey, base64url_decode, cut, public_members, sha256_hex
from seamwalk.book.types import body_model, newest_version
from seamwalk.errors import BookError

ENTRY_TYP = "seamwalk-entry"
MAX_ENTRY_BYTES = 1_000_000
_REMEDY = "Keep the entry and show it to the office: it can not be put into the book as it is."
_PAYLOAD_KEYS = {"type", "v", "book", "n", "prev", "at", "body"}
_BLOB_FIELDS = (
    "name_blob",
    "note_blob",
    "plan_file",
    "checks_file",
    "stock_file",
    "contacts_blob",
    "edition_file",
    "prep_file",
    "party_blob",
    "against_blob",
)
_AT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Entry:
    """An entry read from its JWS; its signature and its book are judged elsewhere."""

    jws: str
    id: str
    device: str
    jwk: Jwk | None
    type: str
    v: int
    book: str
    n: int
    prev: str | None
    at: str
    body: dict[str, Any]

    @property
    def sha256(self) -> str:
        """Hex SHA-256 of the JWS text: the key of its verdict."""
        return sha256_hex(self.jws.encode("ascii"))

    @property
    def is_known(self) -> bool:
        """Whether this version of the code knows the entry's type and version."""
        return body_model(self.type, self.v) is not None


@dataclass(frozen=True)
class Author:
    """Whose hand writes next: a device's key, its next `n` and the id of its last entry."""

    key: PrivateKey
    book: str
    n: int = 1
    prev: str | None = None

    def write(
        self, entry_type: str, body: dict[str, Any], at: str, *, with_jwk: bool = False
    ) -> tuple[Entry, "Author"]:
        """Sign one entry in its type's newest version; return it and the next author.

        `at` is UTC, ISO 8601 with ms and Z.
        """
        payload = {
            "type": entry_type,
            "v": newest_version(entry_type),
            "book": self.book,
            "n": self.n,
            "prev": self.prev,
            "at": at,
            "body": body,
        }
        text = json.dumps(payload, ensure_ascii=False, separators=(",", ":"))
        entry = read_entry(self.key.sign(ENTRY_TYP, text.encode(), with_jwk=with_jwk))
        check_body(entry)
        return entry, Author(self.key, self.book, self.n + 1, entry.id)


def blobs_of(entry: Entry) -> list[str]:
    """Names of the texts, photos and files that an entry speaks of."""
    single = [entry.body[name] for name in _BLOB_FIELDS if entry.body.get(name)]
    photos, texts = entry.body.get("photo_blobs") or (), entry.body.get("text_blobs") or {}
    paper = entry.body.get("paper")
    return [*single, *photos, *texts.values(), *([paper["by_blob"]] if paper else [])]


def entry_id(jws: str) -> str:
    """Hex of the leaf hash of a JWS text."""
    return merkle.leaf_hash(jws.encode("ascii")).hex()


def format_at(moment: datetime) -> str:
    """Write an aware datetime in UTC as entries carry it: 2026-11-25T10:31:43.123Z."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def read_entry(jws: str) -> Entry:
    """Take an entry apart; raise BookError naming the member that is wrong."""
    header, payload_text, signature = cut(jws)
    if len(jws) > MAX_ENTRY_BYTES:
        raise BookError(f"entry: over {MAX_ENTRY_BYTES} bytes", _REMEDY)
    device, jwk = _read_header(header)
    payload = _json_object(base64url_decode(payload_text), "payload")
    base64url_decode(signature)
    _check_payload(payload)
    return Entry(jws, entry_id(jws), device, jwk, **payload)


def check_body(entry: Entry) -> None:
    """Check a known entry's body against its schema; raise BookError by path."""
    model = body_model(entry.type, entry.v)
    if model is None:
        raise BookError(f"type: {entry.type} of version {entry.v} is unknown", _REMEDY)
    try:
        model.model_validate(entry.body)
    except ValidationError as error:
        first = error.errors()[0]
        path = ".".join(["body", *(str(part) for part in first["loc"])])
        raise BookError(f"{path}: {first['msg']}", _REMEDY) from error


def _json_object(data: bytes, what: str) -> dict[str, Any]:
    try:
        value = _DECODER.decode(data.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise BookError(f"{what}: not JSON ({error})", _REMEDY) from error
    if not isinstance(value, dict):
        raise BookError(f"{what}: a JSON object is needed", _REMEDY)
    return value


def _no_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a member stands twice")
    return made


_DECODER = json.JSONDecoder(object_pairs_hook=_no_twice)


@lru_cache(maxsize=1024)
def _read_header(text: str) -> tuple[str, Jwk | None]:
    """The device and the key that a header names; a device's headers are all the same."""
    header = _json_object(base64url_decode(text), "header")
    _check_header(header)
    return header["kid"], public_members(header["jwk"]) if "jwk" in header else None


def _check_header(header: dict[str, Any]) -> None:
    if header.get("alg") != ALGORITHM or header.get("typ") != ENTRY_TYP:
        raise BookError(f"header: alg {ALGORITHM} and typ {ENTRY_TYP} are needed", _REMEDY)
    if not isinstance(header.get("kid"), str) or not set(header) <= {"alg", "typ", "kid", "jwk"}:
        raise BookError("header: kid is needed, and nothing else but jwk is known", _REMEDY)


def _check_payload(payload: dict[str, Any]) -> None:
    if set(payload) != _PAYLOAD_KEYS:
        odd = ", ".join(sorted(set(payload) ^ _PAYLOAD_KEYS))
        raise BookError(f"payload: members missing or unknown: {odd}", _REMEDY)
    for member, kind in (("type", str), ("v", int), ("book", str), ("n", int), ("at", str), ("body", dict)):
        if not isinstance(payload[member], kind) or isinstance(payload[member], bool):
            raise BookError(f"payload.{member}: {kind.__name__} is needed", _REMEDY)
    if payload["n"] < 1:
        raise BookError("payload.n: counts from 1", _REMEDY)
    if not _AT.fullmatch(payload["at"]):
        raise BookError("payload.at: a UTC time like 2026-11-25T10:31:43.123Z is needed", _REMEDY)
    prev = payload["prev"]
    if prev is not None and not (isinstance(prev, str) and _HASH.fullmatch(prev)):
        raise BookError("payload.prev: an entry id or null is needed", _REMEDY)
