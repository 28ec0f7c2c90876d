"""Books written entry by entry, each entry in the two forms that its signature has.

An ES256 signature (r, s) also verifies as (r, n - s) (SEC 1, version 2.0, section 4.1.4: nothing there keeps
s small). An entry is its signing input, so both texts are one entry, and the id of either names it. Nothing
of the code that is tested is used here; signatures are deterministic (RFC 6979).
"""

import hashlib
import json
from base64 import urlsafe_b64encode
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

# order of P-256: FIPS 186-5 with SP 800-186, section 3.2.1.3
ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
BOOK = "b0123456789abcdef"
NONE = "0" * 64
CHECK = "A/side/1.1/2.1/locks:2"
OTHER = "A/tile/1.1/condition:sound"
SPARE, CASE_1, CASE_2 = "HQT00001", "HQC00001", "HQC00002"
WHO = ("owner", "head", "rosa", "mika", "kim")
JSON = dict[str, Any]


def encode(data: bytes) -> str:
    return urlsafe_b64encode(data).rstrip(b"=").decode()


def compact(value: JSON) -> bytes:
    return json.dumps(value, separators=(",", ":")).encode()


class Key:
    """A key made from its name, for tests alone."""

    def __init__(self, name: str) -> None:
        secret = int.from_bytes(hashlib.sha256(f"for tests alone: {name}".encode()).digest())
        self.key = ec.derive_private_key(secret % ORDER, ec.SECP256R1())
        point = self.key.public_key().public_numbers()
        x, y = (encode(number.to_bytes(32)) for number in (point.x, point.y))
        self.jwk = {"crv": "P-256", "kty": "EC", "x": x, "y": y}
        self.thumbprint = encode(hashlib.sha256(compact(self.jwk)).digest())

    def sign(self, payload: JSON, typ: str, with_jwk: bool) -> JSON:
        """Both signatures over one signing input, `low` with s at most half the order."""
        header = {"alg": "ES256", "kid": self.thumbprint, "typ": typ} | (
            {"jwk": self.jwk} if with_jwk else {}
        )
        signing_input = f"{encode(compact(header))}.{encode(compact(payload))}"
        kind = ec.ECDSA(SHA256(), deterministic_signing=True)
        r, s = decode_dss_signature(self.key.sign(signing_input.encode(), kind))
        pair = {"input": signing_input}
        for form, value in (("low", min(s, ORDER - s)), ("high", max(s, ORDER - s))):
            pair[form] = encode(r.to_bytes(32) + value.to_bytes(32))
            pair[f"{form}_id"] = leaf(f"{signing_input}.{pair[form]}").hex()
        return pair


KEYS = {name: Key(name) for name in WHO}
PEOPLE = {name: f"p{number:016x}" for number, name in enumerate(WHO)}


def leaf(text: str) -> bytes:
    return hashlib.sha256(b"\0" + text.encode()).digest()


def root(leaves: list[bytes]) -> str:
    """MTH of RFC 9162 section 2.1.1."""
    return tree(leaves).hex() if leaves else hashlib.sha256(b"").hexdigest()


def tree(leaves: list[bytes]) -> bytes:
    if len(leaves) == 1:
        return leaves[0]
    cut = 1 << (len(leaves) - 1).bit_length() - 1
    return hashlib.sha256(b"\1" + tree(leaves[:cut]) + tree(leaves[cut:])).digest()


class Scene:
    """One book: who wrote what, which texts came in which order, and what that must come to."""

    def __init__(self, description: str, **roles: str) -> None:
        self.description, self.devices = description, sorted(roles)
        self.entries: dict[str, JSON] = {}
        self.texts: list[JSON] = []
        self.expect: JSON = {}
        self.old = False
        self.count = dict.fromkeys(WHO, 0)
        self.last: dict[str, str | None] = dict.fromkeys(WHO)
        keys: JSON = {"owner_jwk": KEYS["owner"].jwk, "head_jwk": KEYS["head"].jwk}
        self.write("opened", "owner", "book_opened", kind="show", title="T", slug="t", epoch=1, **keys)
        for name, role in roles.items():
            self.admit(name, role)

    def admit(self, name: str, role: str, **how: Any) -> None:
        key = KEYS[name]
        who: JSON = {"device": key.thumbprint, "jwk": key.jwk, "person": PEOPLE[name], "name_blob": NONE}
        self.write(f"{name} {role}", "owner", "device_admitted", **how, **who, role=role)

    def plan(self, name: str, replaces: str | None, **how: Any) -> None:
        files: JSON = {"plan_file": NONE, "checks_file": NONE}
        self.write(name, "owner", "plan_set", wall="A", title="T", replaces=replaces, **files, **how)

    def find(self, name: str, who: str, result: str, *answers: str, **how: Any) -> None:
        fault: JSON = {"weight": "stop", "reason": "gap"} if result == "fault" else {}
        found = {"plan": NONE, "checks": [CHECK], "result": result, **fault, **how}
        self.write(name, who, "found", **found, answers=list(answers))

    def write(
        self,
        name: str,
        who: str,
        entry_type: str,
        *,
        form: str = "low",
        prev: str = "low",
        verdict: str = "kept",
        void: str | None = None,
        minute: int | None = None,
        **body: Any,
    ) -> None:
        """Sign an entry and let one form of it come in; `minute` is when, by its author's clock."""
        self.count[who] += 1
        n, before = self.count[who], self.last[who]
        minute = len(self.entries) if minute is None else minute
        payload: JSON = {"type": entry_type, "v": 2 if entry_type in ("found", "swapped") else 1}
        payload |= {"book": BOOK, "n": n}
        payload["prev"] = self.id(before, prev) if before else None
        payload |= {"at": f"2026-11-20T22:{minute:02}:00.000Z", "body": body}
        self.entries[name] = KEYS[who].sign(payload, "seamwalk-entry", n == 1)
        self.last[who] = name
        self.come(name, form, verdict, void)

    def come(self, name: str, form: str, verdict: str = "again", void: str | None = "twin") -> None:
        """A text comes in, or stands in a book from before the repair."""
        told: JSON = {"void": void} if self.old else {"verdict": verdict}
        if verdict == "kept" and void is not None:
            told["void"] = void
        self.texts.append({"name": name, "form": form, **told})

    def id(self, name: str, form: str) -> str:
        return str(self.entries[name][f"{form}_id"])

    def kept(self) -> list[bytes]:
        """Leaves of all that has a place so far."""
        here = [text for text in self.texts if text.get("verdict", "kept") == "kept"]
        return [bytes.fromhex(self.id(text["name"], text["form"])) for text in here]

    def sign_off(self, name: str, who: str, own: list[str], *, late: int = 0, **how: Any) -> None:
        """Sign over all but the last `late` leaves, and over own entries."""
        leaves = self.kept()
        leaves = leaves[: len(leaves) - late]
        over: JSON = {"epoch": 1, "size": len(leaves), "root": root(leaves), "own": own, "exceptions": []}
        self.write(
            name, who, "signed_off", statement="built", wall="A", plan=self.id("plan", "high"), **over, **how
        )

    def told(self) -> JSON:
        who = {name: {"device": KEYS[name].thumbprint, "person": PEOPLE[name]} for name in self.devices}
        made = {"description": self.description, "old": self.old, "devices": who, "entries": self.entries}
        return made | {"texts": self.texts, "expect": self.expect}
