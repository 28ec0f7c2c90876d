"""One entry, from its text: the tests from `text` to `signature_form`."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from second_reader import strict
from second_reader.keys import Key, has_form, in_range, other_form
from second_reader.strict import from_base64url, from_json, is_hash, is_like, leaf_hash, need

_INSTANT = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z"


@dataclass(frozen=True)
class Entry:
    """An entry; its signature is not looked at yet."""

    text: str
    signed: str
    device: str
    jwk: dict[str, Any] | None
    signature: bytes
    payload: dict[str, Any]

    def __getattr__(self, name: str) -> Any:
        """Its `type`, `v`, `book`, `n`, `prev`, `at` and `body`."""
        return self.payload[name]

    @cached_property
    def id(self) -> str:
        return leaf_hash(self.text).hex()

    @cached_property
    def ids(self) -> set[str]:
        """The ids of its text and of the same entry with its other signature."""
        return {self.id, leaf_hash(f"{self.signed}.{strict.to_base64url(other_form(self.signature))}").hex()}


def parse(text: Any, rules: int) -> Entry:
    """Read an entry by rules of a number."""
    need(isinstance(text, str) and text.isascii() and text.count(".") == 2, "text")
    head, body, end = text.split(".")
    need(len(text) <= 1_000_000 and (rules == 1 or len(head) <= 4096), "too_long")
    payload = from_base64url(body, "base64url")
    header = _header(from_base64url(head, "base64url"), rules)
    members = _payload(payload, rules)
    signature = from_base64url(end, "signature_form")
    need(rules == 1 or in_range(signature), "signature_form")
    return Entry(text, f"{head}.{body}", header["kid"], header.get("jwk"), signature, members)


def _header(data: bytes, rules: int) -> dict[str, Any]:
    header = from_json(data, 2, "header", rules)
    need(isinstance(header, dict) and set(header) - {"jwk"} == {"alg", "kid", "typ"}, "header")
    need((header["alg"], header["typ"]) == ("ES256", "seamwalk-entry"), "header")
    need(isinstance(header["kid"], str), "header")
    if "jwk" in header:
        has_form(header["jwk"], "jwk")
        need(rules == 1 or len(header["jwk"]) == 4, "jwk")
        need(rules == 1 or Key(header["jwk"], "jwk").name == header["kid"], "jwk")
    return dict(header)


def _payload(data: bytes, rules: int) -> dict[str, Any]:
    told = from_json(data, 16, "payload", rules)
    need(isinstance(told, dict) and set(told) == {"type", "v", "book", "n", "prev", "at", "body"}, "payload")
    need(all(isinstance(told[name], str) for name in ("type", "book", "at")), "payload")
    need(
        isinstance(told["body"], dict) and strict.is_count(told["n"], 1) and type(told["v"]) is int, "payload"
    )
    need(is_like(_INSTANT, told["at"]) and (told["prev"] is None or is_hash(told["prev"])), "payload")
    if rules > 1:
        need(strict.is_moment(told["at"]), "payload")
        need(is_like("[a-z][a-z0-9_]{0,39}", told["type"]) and strict.is_book(told["book"]), "payload")
        need(1 <= told["v"] <= 9999, "payload")
    return dict(told)
