"""Signed heads: the size and root of a book at one moment."""

import json
from dataclasses import dataclass

from seamwalk.book.jose import PrivateKey, PublicKey, split
from seamwalk.errors import BookError

HEAD_TYP = "seamwalk-head"
_REMEDY = "Fetch the head anew; if it stays wrong, keep what you have and tell the office."


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
    return Head(**payload, jws=jws)  # type: ignore[arg-type]


def read_claim(jws: str) -> tuple[str, Head]:
    """The key that a head names and what it says, not verified; raise BookError when it is no head."""
    header_bytes, payload_bytes, _ = split(jws)
    try:
        header, payload = json.loads(header_bytes), json.loads(payload_bytes)
        head = Head(**payload, jws=jws)
        if header["typ"] != HEAD_TYP or not all(isinstance(value, int) for value in (head.epoch, head.size)):
            raise BookError("head: signed as something else", _REMEDY)
        return str(header["kid"]), head
    except (ValueError, TypeError, KeyError) as error:
        raise BookError(f"head: malformed ({error})", _REMEDY) from error


def read_head(jws: str, key: PublicKey) -> Head:
    """Read and verify a head; raise BookError when it is malformed or not signed by this key."""
    signer, head = read_claim(jws)
    if signer != key.thumbprint:
        raise BookError("head: signed as something else or by another key", _REMEDY)
    if not key.verifies(jws):
        raise BookError("head: the signature does not fit", _REMEDY)
    return head
