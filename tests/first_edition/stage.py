"""What the makers of the fixture share: a site with its clock, shows, hands that sign, twisted signatures.

Runs only under the first edition's code, like `make.py`.
"""

import gzip
import json
import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import load_pem_private_key
from flask import Flask
from flask.testing import FlaskClient
from seamwalk.store.blobs import keep_blob
from seamwalk.store.books import current_plan, open_book, salted_text, set_plan, write_as_office
from seamwalk.store.states import checks_file

from seamwalk.book.entry import Entry, entry_id, format_at, read_entry
from seamwalk.book.jose import PrivateKey, base64url_decode, base64url_encode
from seamwalk.config import load_settings
from seamwalk.store import access
from seamwalk.store.engine import Store
from seamwalk.store.ledger import Verdict, ingest, newest_head
from seamwalk.store.tables import Key, LedgerEntry, SignedHead
from seamwalk.web import create_app
from seamwalk.web.services import EXTENSION
from seamwalk_demo.crew import SimulatedPhone

START = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
PASSWORD = "long password"
# the order of P-256 (SEC 2, section 2.4.2)
ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551
TILE = {
    "key": "dunlin_500",
    "width_mm": 500,
    "height_mm": 500,
    "depth_mm": 80,
    "px_w": 192,
    "px_h": 192,
    "mass_kg": 8,
    "power_max_w": 150,
    "power_typical_w": 50,
    "locks_side": 2,
    "locks_stack": 2,
    "tiles_per_case": 8,
    "max_bend_deg": 5,
    "reference": "invented manual, page 3",
}
PLAN: dict[str, Any] = {
    "name": "Wall at the hoist",
    "columns": 2,
    "rows": 2,
    "tile": TILE,
    "support": "stacked",
}


@dataclass
class Stage:
    """An app over a folder of its own, and the clock in the maker's hands."""

    folder: Path
    at: datetime = START
    app: Flask = field(init=False)
    keys: dict[str, dict[str, str]] = field(default_factory=dict)
    tokens: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        settings = load_settings({"SEAMWALK_DIR": str(self.folder), "SEAMWALK_COMPANY": "Morgenrain Wände"})
        self.app = create_app(settings, now=lambda: self.at)

    @property
    def store(self) -> Store:
        store: Store = self.app.extensions[EXTENSION].store
        return store

    def pass_(self, **span: float) -> datetime:
        """Let time go by, by default half a minute."""
        self.at += timedelta(**(span or {"seconds": 30.25}))
        return self.at

    def office(self) -> FlaskClient:
        """The office's browser, logged in."""
        client = self.app.test_client()
        found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', client.get("/office/login").text)
        assert found is not None
        fields = {"csrf_token": found.group(1), "login": "anna", "password": PASSWORD}
        assert client.post("/office/login", data=fields).status_code == 302
        return client

    def keep_key(self, name: str, key: PrivateKey, **more: str) -> None:
        self.keys[name] = {"thumbprint": key.thumbprint, "pem": key.to_pem(), **more}


@dataclass
class Show:
    """A show's book: its phones by name, and the ids of entries worth naming."""

    stage: Stage
    slug: str
    book: str
    fingerprint: str
    phones: dict[str, SimulatedPhone] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    entries: dict[str, Entry] = field(default_factory=dict)

    @classmethod
    def open(cls, stage: Stage, slug: str, title: str) -> "Show":
        """Open a show's book with one wall A."""
        with stage.store.write() as session:
            book = open_book(session, kind="show", title=title, slug=slug, now=stage.at)
            show = cls(stage, slug, book.id, book.owner_fingerprint)
            for purpose in ("owner", "head"):
                key = PrivateKey.from_pem(session.get_one(Key, (book.id, purpose)).pem)
                stage.keep_key(f"{slug}/{purpose}", key)
        with stage.store.write() as session:
            entry = set_plan(session, show.book, wall="A", source=PLAN, replaces=None, now=stage.pass_())
        show.remember("plan", entry)
        return show

    def remember(self, name: str, entry: Entry) -> Entry:
        """Name an entry."""
        assert name not in self.named
        self.named[name] = entry.id
        self.entries[name] = entry
        return entry

    def invite(self, role: str, person: str | None = None) -> str:
        with self.stage.store.write() as session:
            return access.make_invite(session, self.book, role, 24, self.stage.at, person)

    def bring(self, name: str, role: str, person: str | None = None) -> SimulatedPhone:
        """Let a phone join by an invite; its admission is named `admitted_NAME`."""
        phone = SimulatedPhone(self.stage.app.test_client(), self.book)
        phone.join(self.invite(role, person), name.replace("_", " ").title())
        cookie = phone.client.get_cookie("seamwalk_device")
        if cookie is not None:
            self.stage.tokens[f"{self.slug}/{name}"] = cookie.value
        self.phones[name] = phone
        self.stage.keep_key(f"{self.slug}/{name}", phone.key, role=role)
        self.remember(f"admitted_{name}", self.last())
        self.stage.pass_()
        return phone

    def stranger(self, name: str) -> SimulatedPhone:
        """A phone that nobody admitted."""
        phone = SimulatedPhone(self.stage.app.test_client(), self.book)
        self.phones[name] = phone
        self.stage.keep_key(f"{self.slug}/{name}", phone.key, role="")
        return phone

    def last(self) -> Entry:
        """The newest entry of the book."""
        return read_entry(self.texts()[-1])

    def texts(self) -> list[str]:
        with self.stage.store.read() as session:
            query = session.query(LedgerEntry.jws).filter(LedgerEntry.book == self.book)
            return [row.jws for row in query.order_by(LedgerEntry.idx)]

    def head(self) -> SignedHead:
        with self.stage.store.read() as session:
            return newest_head(session, self.book)

    def push(self, *texts: str) -> list[Verdict]:
        """What a phone's sync does with entries."""
        with self.stage.store.write() as session:
            return ingest(session, self.book, texts, self.stage.at)

    def write(self, who: str, entry_type: str, name: str = "", expect: str = "kept", **body: Any) -> Entry:
        """Let a phone write an entry and send it; make sure of its verdict."""
        phone = self.phones[who]
        body = {key.rstrip("_"): value for key, value in body.items()}
        entry = phone.write(entry_type, body, self.stage.pass_())
        (verdict,) = self.push(entry.jws)
        assert verdict.verdict == expect, (entry_type, verdict)
        return self.remember(name, entry) if name else entry

    def office(self, entry_type: str, name: str = "", **body: Any) -> Entry:
        with self.stage.store.write() as session:
            entry = write_as_office(session, self.book, entry_type, body, self.stage.pass_())
        return self.remember(name, entry) if name else entry

    def find(self, who: str, name: str, checks: list[str], result: str = "ok", **more: Any) -> Entry:
        """A finding under the wall's plan."""
        return self.write(who, "found", name, plan=self.named["plan"], checks=checks, result=result, **more)

    def fault(self, who: str, name: str, check: str, weight: str, **more: Any) -> Entry:
        reason = more.pop("reason", "gap")
        return self.find(who, name, [check], "fault", weight=weight, reason=reason, **more)

    def note(self, text: str) -> str:
        """Keep a salted text; return its name."""
        return self.blob(salted_text(text))

    def blob(self, data: bytes) -> str:
        with self.stage.store.write() as session:
            return keep_blob(session, self.book, data)

    def checks(self) -> dict[str, Any]:
        """The frozen checks of wall A."""
        with self.stage.store.read() as session:
            plan = current_plan(session, self.book, "A")
            assert plan is not None
            return checks_file(session, plan)

    def sign(self, who: str, statement: str, name: str, expect: str = "kept", **more: Any) -> Entry:
        """A sign-off over the book as it is now."""
        head = self.head()
        over = {"epoch": head.epoch, "size": head.size, "root": head.root, "own": [], "exceptions": []}
        body = {"statement": statement, "wall": "A", "plan": self.named["plan"], **over, **more}
        return self.write(who, "signed_off", name, expect, **body)


def as_json(value: Any) -> bytes:
    return (json.dumps(value, indent=1, sort_keys=True) + "\n").encode()


def write_json(path: Path, value: Any) -> None:
    path.write_bytes(as_json(value))


def write_gz(path: Path, data: bytes) -> None:
    path.write_bytes(gzip.compress(data, 9, mtime=0))


def twist(jws: str) -> str:
    """The same entry with its signature's other form, (r, n - s)."""
    signed, _, text = jws.rpartition(".")
    raw = base64url_decode(text)
    other = ORDER - int.from_bytes(raw[32:])
    return f"{signed}.{base64url_encode(raw[:32] + other.to_bytes(32))}"


def has_high_s(jws: str) -> bool:
    return int.from_bytes(base64url_decode(jws.rpartition(".")[2])[32:]) > ORDER // 2


def sign_bytes(key: PrivateKey, header: bytes, payload: bytes) -> str:
    """Sign exactly these bytes."""
    raw = load_pem_private_key(key.to_pem().encode(), None)
    assert isinstance(raw, ec.EllipticCurvePrivateKey)
    signed = f"{base64url_encode(header)}.{base64url_encode(payload)}"
    r, s = decode_dss_signature(raw.sign(signed.encode(), ec.ECDSA(SHA256())))
    return f"{signed}.{base64url_encode(r.to_bytes(32) + s.to_bytes(32))}"


@dataclass
class Hand:
    """A device that signs anything, also what no phone of ours would write."""

    key: PrivateKey
    book: str
    stage: Stage
    n: int = 1
    prev: str | None = None

    def text(
        self, entry_type: str, body: Any, header: Any = None, raw: bytes | None = None, **changes: Any
    ) -> str:
        """Sign an entry; header and payload may have other members, or be exactly these bytes."""
        own = {"alg": "ES256", "kid": self.key.thumbprint, "typ": "seamwalk-entry"}
        payload = {"type": entry_type, "v": 1, "book": self.book, "n": self.n, "prev": self.prev}
        payload |= {"at": format_at(self.stage.pass_()), "body": body, **changes}
        head = header if isinstance(header, bytes) else json.dumps(own | (header or {})).encode()
        return sign_bytes(self.key, head, json.dumps(payload).encode() if raw is None else raw)

    def kept(self, jws: str) -> None:
        """Go on behind an entry that was kept."""
        self.n, self.prev = self.n + 1, entry_id(jws)
