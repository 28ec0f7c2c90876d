"""A small book to forge, and what a forger does: sign anything, under any header, with any signature."""

import copy
import json
from base64 import urlsafe_b64encode
from dataclasses import dataclass
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256, HashAlgorithm
from cryptography.hazmat.primitives.serialization import load_pem_private_key

from seamwalk.book.entry import Author, entry_id
from seamwalk.book.export import line
from seamwalk.book.jose import ORDER, PrivateKey, base64url_encode, other_form
from small_book import AT, BOOK, CHECK, PERSON, Writer

JSON = dict[str, Any]
FOUND: JSON = {"plan": "0" * 64, "checks": [CHECK], "result": "ok"}


@dataclass(frozen=True)
class Forgery:
    """One change of a good file, and the code that it must be refused under; "" if it must be taken."""

    name: str
    code: str
    data: bytes
    seals: tuple[str, ...] = ()
    trusted: str | None = None


class Forge(Writer):
    """A book of an owner, its crew's phone with one finding, and a stranger's key."""

    def __init__(self, rules: int = 2) -> None:
        super().__init__(rules)
        self.stranger = PrivateKey.generate()
        self.admit()
        self.find()

    def copy(self) -> "Forge":
        """The same book, to be changed on its own."""
        made = copy.copy(self)
        made.entries, made.blobs = [*self.entries], {**self.blobs}
        return made

    def also(self, *texts: Any) -> "Forge":
        """The same book with these texts after all others, under a head of its own."""
        made = self.copy()
        made.entries += texts
        return made

    def payload(self, **changes: Any) -> JSON:
        """A good next payload of the phone, but for these members."""
        told = {"type": "found", "v": 1, "book": BOOK, "n": self.crew.n, "prev": self.crew.prev, "at": AT}
        return told | {"body": FOUND} | changes

    def header(self, key: PrivateKey | None = None, **changes: Any) -> JSON:
        """A good header of the phone or of another key, but for these members."""
        by = key or self.phone
        return {"alg": "ES256", "jwk": by.jwk, "kid": by.thumbprint, "typ": "seamwalk-entry"} | changes

    def text(self, payload: Any = None, header: Any = None, key: PrivateKey | None = None) -> str:
        """Sign these as they are, values as JSON and bytes as bytes; what is left out is good."""
        by = key or self.phone
        return sign(by, self.header(by) if header is None else header, payload or self.payload())

    def forged(self, payload: Any = None, header: Any = None, key: PrivateKey | None = None) -> bytes:
        """The book with one more text, signed as it is."""
        return self.also(self.text(payload, header, key)).file()

    def body(self, entry_type: str, body: Any, key: PrivateKey | None = None, **changes: Any) -> bytes:
        """The book with one more entry of this body."""
        return self.forged(self.payload(type=entry_type, body=body, **changes), key=key)

    def by_owner(self, entry_type: str, body: Any) -> bytes:
        """The book with one more entry of the owner."""
        return self.body(entry_type, body, self.owner, n=self.office.n, prev=self.office.prev)

    def second(self, role: str, person: str = PERSON) -> PrivateKey:
        """Admit another phone, of a person of this role."""
        key = PrivateKey.generate()
        self.write("device_admitted", self.admission(key, role=role, person=person))
        return key

    def admission(self, key: PrivateKey, **changes: Any) -> JSON:
        """The body that admits a key."""
        (name,) = self.blobs
        told = {"device": key.thumbprint, "jwk": key.jwk, "person": PERSON, "name_blob": name}
        return told | {"role": "crew"} | changes

    def sign_off(self, **changes: Any) -> JSON:
        """The body of a sign-off over all that is here."""
        size = len(self.entries)
        over = {"plan": "0" * 64, "epoch": self.epoch, "size": size, "root": self.root(size), "own": []}
        return {"statement": "built", "wall": "A", **over, "exceptions": []} | changes

    def begin_rules(self) -> None:
        """Go over to rules 2."""
        self.write("rules_begun", {"rules": 2})

    def file(self, key: PrivateKey | None = None, **changes: Any) -> bytes:
        """Its export; the head as told."""
        return b"".join(self.lines(key, **changes))

    def leaves(self) -> list[bytes]:
        """Its leaf hashes; of what is no text at all, a hash all the same."""
        return [
            bytes.fromhex(entry_id(str(text).encode("ascii", "replace").decode())) for text in self.entries
        ]

    def ids(self) -> list[str]:
        """Its leaf hashes in hex."""
        return [leaf.hex() for leaf in self.leaves()]

    def author(self, key: PrivateKey) -> Author:
        """A hand that writes its first entry."""
        return Author(key, BOOK)


def as_bytes(value: Any) -> bytes:
    """Bytes as they are, anything else as JSON."""
    return value if isinstance(value, bytes) else json.dumps(value).encode()


def scalars_of(key: PrivateKey, signed: str, algorithm: HashAlgorithm | None = None) -> tuple[int, int]:
    """r and s of a fresh signature."""
    private = load_pem_private_key(key.to_pem().encode(), None)
    assert isinstance(private, ec.EllipticCurvePrivateKey)
    return decode_dss_signature(private.sign(signed.encode(), ec.ECDSA(algorithm or SHA256())))


def signature_of(r: int, s: int) -> str:
    """r and s as JWS has them."""
    return base64url_encode(r.to_bytes(32, "big") + s.to_bytes(32, "big"))


def sign(key: PrivateKey, header: Any, payload: Any) -> str:
    """A compact JWS over any header and payload, in the low form."""
    signed = f"{base64url_encode(as_bytes(header))}.{base64url_encode(as_bytes(payload))}"
    r, s = scalars_of(key, signed)
    return f"{signed}.{signature_of(r, min(s, ORDER - s))}"


def strayed(text: str) -> str:
    """base64url whose last character has a bit that nothing asks for; its length is not a multiple of 4."""
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
    assert len(text) % 4
    return text[:-1] + alphabet[alphabet.index(text[-1]) + 1]


def padded(data: bytes) -> bytes:
    """JSON with a space more where its length is a multiple of 3, so that base64url has unused bits."""
    return data if len(data) % 3 else data + b" "


__all__ = ["AT", "BOOK", "CHECK", "FOUND", "ORDER", "PERSON", "Author", "Forge", "Forgery", "PrivateKey"]
__all__ += ["as_bytes", "base64url_encode", "entry_id", "line", "other_form", "padded", "scalars_of"]
__all__ += ["sign", "signature_of", "strayed", "urlsafe_b64encode"]
