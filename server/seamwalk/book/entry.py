"""One entry of a book: a compact JWS whose exact bytes are kept forever.

An entry is what was signed, the JWS signing input. Anybody can make a second valid signature of a first one,
so two texts over one signing input are one entry. The leaf hash of the text that a book keeps is its id; a
reference to the leaf hash of either form of that text means this entry.
"""

import json
from collections.abc import Container
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from typing import Any

from pydantic import ValidationError

from seamwalk.book import merkle
from seamwalk.book.jose import Jwk, PrivateKey, other_form, sha256_hex, signing_input
from seamwalk.book.rules import NEWEST, RULES
from seamwalk.book.types import body_model, newest_version
from seamwalk.errors import BookError

ENTRY_TYP = "seamwalk-entry"
REMEDY = "Keep the entry and show it to the office: it cannot be put into the book as it is."
BLOB_FIELDS = frozenset(
    {
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
    }
)


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
    def input(self) -> str:
        """Its signing input: what makes it this entry and no other."""
        return signing_input(self.jws)

    @cached_property
    def other_id(self) -> str:
        """Hex of the leaf hash of the same entry with the other form of its signature."""
        return entry_id(other_form(self.jws))

    def is_among(self, references: Container[str]) -> bool:
        """Whether one of these references, each an id in either form, means this entry."""
        return self.id in references or self.other_id in references

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
        payload: dict[str, Any] = {
            "type": entry_type,
            "v": newest_version(entry_type),
            "book": self.book,
            "n": self.n,
            "prev": self.prev,
            "at": at,
            "body": body,
        }
        text = json.dumps(payload, ensure_ascii=False, separators=(",", ":"))
        jws = self.key.sign(ENTRY_TYP, text.encode(), with_jwk=with_jwk)
        entry = Entry(jws, entry_id(jws), self.key.thumbprint, self.key.jwk if with_jwk else None, **payload)
        check_body(entry)
        return entry, Author(self.key, self.book, self.n + 1, entry.id)


def blobs_of(entry: Entry) -> list[str]:
    """Names of the texts, photos and files that an entry speaks of, in no order."""
    body = entry.body
    single = [body[name] for name in BLOB_FIELDS & body.keys() if body[name]]
    photos, texts = body.get("photo_blobs") or (), body.get("text_blobs") or {}
    paper = body.get("paper")
    return [*single, *photos, *texts.values(), *([paper["by_blob"]] if paper else [])]


def entry_id(jws: str) -> str:
    """Hex of the leaf hash of a JWS text."""
    return merkle.leaf_hash(jws.encode("ascii")).hex()


def format_at(moment: datetime) -> str:
    """Write an aware datetime in UTC as entries carry it: 2026-11-25T10:31:43.123Z."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def check_body(entry: Entry, rules: int = NEWEST) -> None:
    """Check a known entry's body against its schema under the rules of a number; raise BookError by path."""
    model = body_model(entry.type, entry.v)
    if model is None:
        message = f"type: {entry.type} of version {entry.v} is unknown"
        raise BookError(message, REMEDY, "schema")
    try:
        model.model_validate(entry.body, context={RULES: rules})
    except ValidationError as error:
        first = error.errors()[0]
        path = ".".join(["body", *(str(part) for part in first["loc"])])
        raise BookError(f"{path}: {first['msg']}", REMEDY, "schema") from error
