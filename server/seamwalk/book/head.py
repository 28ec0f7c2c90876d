"""Signed heads: the size and root of a book at one moment."""

import json
from dataclasses import dataclass, replace
from typing import Any

from seamwalk.book.jose import ALGORITHM, PrivateKey, PublicKey, split
from seamwalk.book.json_text import read_json
from seamwalk.errors import BookError

HEAD_TYP = "seamwalk-head"
MAX_HEAD_BYTES = 4096
_REMEDY = "Fetch the head again; if it stays wrong, keep what you have and tell the office."


@dataclass(frozen=True)
class Head:
    """A book's size and Merkle root (64 hex digits) in one epoch, and the JWS that says so."""

    book: str
    epoch: int
    size: int
    root: str
    at: str
    jws: str = ""


def sign_head(key: PrivateKey, head: Head) -> Head:
    """Sign a head with the head key; the JWS is in the returned head."""
    payload = {"book": head.book, "epoch": head.epoch, "size": head.size, "root": head.root, "at": head.at}
    jws = key.sign(HEAD_TYP, json.dumps(payload, separators=(",", ":")).encode())
    return replace(head, jws=jws)


def read_claim(jws: str) -> tuple[str, Head]:
    """The key that a head names and what it says, not verified; raise BookError when it is no head."""
    try:
        header, payload = (read_json(part, 1) for part in split(jws)[:2])
    except BookError as error:
        raise BookError(f"head: malformed ({error.message})", _REMEDY, "head") from error
    if len(jws) > MAX_HEAD_BYTES:
        raise BookError(f"head: over {MAX_HEAD_BYTES} bytes", _REMEDY, "head")
    if not isinstance(header, dict) or not _is_header(header):
        raise BookError("head: signed as something else", _REMEDY, "head")
    if not isinstance(payload, dict) or not _fits(payload):
        raise BookError("head: its members are not those of a head", _REMEDY, "head")
    return header["kid"], Head(**payload, jws=jws)


def _is_header(header: dict[str, Any]) -> bool:
    if (header.get("alg"), header.get("typ")) != (ALGORITHM, HEAD_TYP):
        return False
    return set(header) == {"alg", "kid", "typ"} and isinstance(header["kid"], str)


def _fits(payload: dict[str, Any]) -> bool:
    if set(payload) != {"book", "epoch", "size", "root", "at"}:
        return False
    counts = (payload["epoch"], payload["size"])
    texts = (payload["book"], payload["root"], payload["at"])
    return all(type(value) is int and value >= 1 for value in counts) and all(
        isinstance(value, str) for value in texts
    )


def read_head(jws: str, key: PublicKey) -> Head:
    """Read and verify a head; raise BookError when it is malformed or not signed by this key."""
    signer, head = read_claim(jws)
    if signer != key.thumbprint:
        raise BookError("head: signed by another key", _REMEDY, "head_key")
    if not key.verifies(jws):
        raise BookError("head: the signature does not fit", _REMEDY, "head_signature")
    return head
