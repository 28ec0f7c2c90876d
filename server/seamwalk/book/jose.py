"""Compact JWS (RFC 7515) with ES256 keys; a thin, strict face on joserfc."""

import hashlib
import json
from base64 import urlsafe_b64encode
from binascii import a2b_base64
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from joserfc import jws
from joserfc.errors import JoseError
from joserfc.jwk import ECKey

from seamwalk.errors import BookError

ALGORITHM = "ES256"
_ES256 = ec.ECDSA(SHA256())
_SCALAR_BYTES = 32
# the order n of P-256's base point (SEC 2 section 2.4.2): with (r, s) a signature, (r, n - s) is one too
ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
_REMEDY = "Send the text exactly as it was signed."
_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
# what base64 has and base64url has not becomes what neither has
_TO_PLAIN = bytes.maketrans(b"-_+/=", b"+/!!!")
# last characters whose unused bits are zero, by how many characters stand after the last four
_LAST = {2: frozenset(_ALPHABET[::16]), 3: frozenset(_ALPHABET[::4])}

Jwk = dict[str, str]


@dataclass(frozen=True)
class Signed:
    """A compact JWS taken apart, its signature not yet looked at."""

    jws: str
    header: dict[str, Any]
    payload: bytes


class PrivateKey:
    """An ES256 private key and its RFC 7638 thumbprint."""

    def __init__(self, key: ECKey) -> None:
        self._key = key
        self.thumbprint = key.thumbprint()

    @classmethod
    def generate(cls) -> "PrivateKey":
        """Make a new P-256 key."""
        return cls(ECKey.generate_key("P-256"))

    @classmethod
    def from_pem(cls, pem: str) -> "PrivateKey":
        """Read a key written by `to_pem`."""
        return cls(ECKey.import_key(pem))

    def to_pem(self) -> str:
        """Write the key as unencrypted PKCS#8."""
        return self._key.as_pem(private=True).decode("ascii")

    @property
    def jwk(self) -> Jwk:
        """The public half, members crv, kty, x, y."""
        return public_members(cast(Jwk, self._key.as_dict(private=False)))

    def sign(self, typ: str, payload: bytes, *, with_jwk: bool = False) -> str:
        """Sign payload bytes, in the low form; the header carries alg, kid, typ and, if asked, the key."""
        header: dict[str, Any] = {"alg": ALGORITHM, "kid": self.thumbprint, "typ": typ}
        if with_jwk:
            header["jwk"] = self.jwk
        signed = jws.serialize_compact(header, payload, self._key, algorithms=[ALGORITHM])
        return signed if is_low(signed) else other_form(signed)


class PublicKey:
    """An imported ES256 public key, kept because importing costs more than verifying."""

    def __init__(self, jwk: Jwk) -> None:
        members = public_members(jwk)
        try:
            self._key, self.thumbprint = _imported(members["x"], members["y"])
        except (JoseError, ValueError, TypeError) as error:
            raise BookError(f"jwk: not a P-256 public key ({error})", "Make a new device key.") from error

    def verifies(self, compact: str) -> bool:
        """Tell whether the signature on a compact JWS is this key's, by ES256 (RFC 7518 section 3.4)."""
        try:
            signed, _, text = compact.rpartition(".")
            if not _is_es256(signed.partition(".")[0]):
                return False
            self._key.verify(encode_dss_signature(*scalars(text)), signed.encode("ascii"), _ES256)
        except (BookError, InvalidSignature, ValueError):
            return False
        return True


@lru_cache(maxsize=1024)
def _imported(x: str, y: str) -> tuple[ec.EllipticCurvePublicKey, str]:
    """The P-256 key of these coordinates and its thumbprint; a book's keys are the same at every call."""
    key = ECKey.import_key(cast(Any, {"crv": "P-256", "kty": "EC", "x": x, "y": y}))
    return key.public_key, key.thumbprint()


@lru_cache(maxsize=1024)
def _is_es256(header: str) -> bool:
    """Whether an encoded header names our algorithm; a device's headers are all the same."""
    value = json.loads(base64url_decode(header))
    return isinstance(value, dict) and value.get("alg") == ALGORITHM


def public_members(jwk: Jwk) -> Jwk:
    """Keep only the public members of a P-256 JWK; raise BookError when one is missing."""
    if not isinstance(jwk, dict) or jwk.get("kty") != "EC" or jwk.get("crv") != "P-256":
        raise BookError("jwk: a P-256 key (kty EC, crv P-256) is needed", "Make a new device key.")
    if not all(isinstance(jwk.get(member), str) for member in ("x", "y")):
        raise BookError("jwk: x and y are needed", "Make a new device key.")
    return {"crv": "P-256", "kty": "EC", "x": jwk["x"], "y": jwk["y"]}


def base64url_encode(data: bytes) -> str:
    """Encode without padding (RFC 7515 section 2)."""
    return urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


def base64url_decode(text: str) -> bytes:
    """Decode strictly: no padding, no other characters, unused bits zero; raise BookError otherwise."""
    left_over = len(text) % 4
    try:
        plain = text.encode("ascii").translate(_TO_PLAIN)
        data = a2b_base64(plain + b"=" * (-left_over % 4), strict_mode=True)
    except ValueError as error:
        raise BookError("not base64url", _REMEDY) from error
    if left_over and text[-1] not in _LAST[left_over]:
        raise BookError("base64url with stray bits at its end", _REMEDY)
    return data


def split(compact: str) -> tuple[bytes, bytes, bytes]:
    """Cut a compact JWS into decoded header, payload and signature; raise BookError when it is none."""
    header, payload, signature = (base64url_decode(part) for part in cut(compact))
    return header, payload, signature


def cut(compact: str) -> tuple[str, str, str]:
    """Cut a compact JWS into its three parts as they are; raise BookError when there are not three."""
    if not isinstance(compact, str) or not compact.isascii():
        raise BookError("not a compact JWS: ASCII text is needed", _REMEDY)
    parts = compact.split(".")
    if len(parts) != 3:
        raise BookError(f"not a compact JWS: {len(parts)} parts where 3 are needed", _REMEDY)
    return parts[0], parts[1], parts[2]


def signing_input(compact: str) -> str:
    """What a compact JWS signs: its header and payload as they are (RFC 7515 section 5.1)."""
    return compact.rpartition(".")[0]


@lru_cache(maxsize=1024)
def scalars(signature: str) -> tuple[int, int]:
    """The r and s of an encoded ES256 signature; raise BookError unless both are from 1 to n - 1.

    Each is asked for thrice on its way into a book: when it is read, verified and twisted.
    """
    data = base64url_decode(signature)
    r, s = int.from_bytes(data[:_SCALAR_BYTES]), int.from_bytes(data[_SCALAR_BYTES:])
    if len(data) != 2 * _SCALAR_BYTES or not (0 < r < ORDER and 0 < s < ORDER):
        raise BookError("signature: 64 bytes are needed, r and s within the order of the curve", _REMEDY)
    return r, s


def is_low(compact: str) -> bool:
    """Whether a compact JWS carries the low form of its signature, s at most n / 2."""
    return scalars(compact.rpartition(".")[2])[1] <= ORDER // 2


def other_form(compact: str) -> str:
    """The same JWS with the other signature that anybody can make of its own: (r, n - s) for (r, s).

    Raise BookError when its signature is none.
    """
    signed, _, signature = compact.rpartition(".")
    r, s = scalars(signature)
    twisted = r.to_bytes(_SCALAR_BYTES) + (ORDER - s).to_bytes(_SCALAR_BYTES)
    return f"{signed}.{base64url_encode(twisted)}"


def sha256_hex(data: bytes) -> str:
    """Hex of SHA-256."""
    return hashlib.sha256(data).hexdigest()
