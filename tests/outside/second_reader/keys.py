"""Public keys and signatures, by jwcrypto; and the heads that are signed by them."""

from functools import lru_cache
from typing import Any

from jwcrypto.common import JWException
from jwcrypto.jwk import JWK
from jwcrypto.jws import JWS

from second_reader.strict import Refusal, from_base64url, from_json, is_count, need

ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551


class Key:
    """A public key of P-256, and its thumbprint as `name`."""

    def __init__(self, jwk: dict[str, Any], code: str) -> None:
        has_form(jwk, code)
        need(all(len(from_base64url(jwk[name], code)) == 32 for name in "xy"), code)
        self._key, self.name = _import(jwk["x"], jwk["y"], code)

    def signed(self, text: str, signature: bytes) -> bool:
        """Whether a compact JWS is signed by this key, its signature being of 64 bytes and in range."""
        signed = JWS()
        signed.allowed_algs = ["ES256"]
        try:
            signed.deserialize(text, self._key)
        except (JWException, ValueError):
            return False
        return in_range(signature)


def has_form(jwk: Any, code: str) -> None:
    """Make sure that a key is one of P-256 with texts for x and y."""
    need(isinstance(jwk, dict) and jwk.get("kty") == "EC" and jwk.get("crv") == "P-256", code)
    need(isinstance(jwk.get("x"), str) and isinstance(jwk.get("y"), str), code)


@lru_cache(maxsize=1000)
def _import(x: str, y: str, code: str) -> tuple[JWK, str]:
    key = JWK(kty="EC", crv="P-256", x=x, y=y)
    try:
        key.get_op_key("verify")
    except ValueError as error:  # no point of the curve
        raise Refusal(code) from error
    return key, key.thumbprint()


def in_range(signature: bytes) -> bool:
    """Whether r and s are 32 bytes each and from 1 to n - 1."""
    halves = (int.from_bytes(half, "big") for half in (signature[:32], signature[32:]))
    return len(signature) == 64 and all(0 < half < ORDER for half in halves)


def other_form(signature: bytes) -> bytes:
    """The other signature that verifies: r and n - s."""
    return signature[:32] + (ORDER - int.from_bytes(signature[32:], "big")).to_bytes(32, "big")


def read_head(text: Any, key: Key | None) -> dict[str, Any]:
    """What a head says that is signed by this key."""
    need(isinstance(text, str) and text.isascii() and text.count(".") == 2 and len(text) <= 4096, "head")
    parts = [from_base64url(part, "head") for part in text.split(".")]
    header, told = (from_json(part, 1, "head") for part in parts[:2])
    need(isinstance(header, dict) and set(header) == {"alg", "kid", "typ"}, "head")
    need((header["alg"], header["typ"]) == ("ES256", "seamwalk-head"), "head")
    need(isinstance(header["kid"], str), "head")
    need(isinstance(told, dict) and set(told) == {"at", "book", "epoch", "root", "size"}, "head")
    need(all(isinstance(told[name], str) for name in ("at", "book", "root")), "head")
    need(is_count(told["epoch"], 1) and is_count(told["size"], 1), "head")
    need(key and header["kid"] == key.name, "head_key")
    need(key and key.signed(text, parts[2]), "head_signature")
    return dict(told)
