"""Open books, find them, and write in them as their owner, the office."""

import json
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Author, Entry, format_at
from seamwalk.book.jose import PrivateKey, PublicKey, base64url_encode
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_kept
from seamwalk.book.rules import NEWEST
from seamwalk.book.trust import DEVICE_TYPES
from seamwalk.domain.frozen import canonical_json, checks_file
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.succession import PlanSet, current_plan_id
from seamwalk.errors import BookError, Conflict, NotFound
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.intake import ingest, lock_book
from seamwalk.store.ledger.keys import keep_key, private_key
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.ledger.witness import root_at
from seamwalk.store.tables import Book, Device, HeldEntry, LedgerEntry, WallPlan


def open_book(session: Session, *, kind: str, title: str, slug: str, now: datetime) -> Book:
    """Open a book with keys of its own; raise Conflict when the short name is taken."""
    if session.scalars(select(Book).where(Book.slug == slug)).first() is not None:
        raise Conflict(f"slug: {slug} is taken by another book", "Choose another short name.")
    owner, head = PrivateKey.generate(), PrivateKey.generate()
    book = Book(id=f"b{secrets.token_hex(8)}", slug=slug, kind=kind, title=title, epoch=1)
    book.frontier, book.owner_fingerprint = Frontier().to_json(), owner.thumbprint
    session.add(book)
    session.flush()
    keep_key(session, book.id, "owner", owner)
    keep_key(session, book.id, "head", head)
    body = {"kind": kind, "title": title, "slug": slug, "epoch": 1, "rules": NEWEST}
    keys = {"owner_jwk": owner.jwk, "head_jwk": head.jwk}
    write_as_office(session, book.id, "book_opened", body | keys, now)
    return book


def find_book(session: Session, name: str) -> Book:
    """Find a book by id or short name; raise NotFound."""
    book = session.scalars(select(Book).where((Book.id == name) | (Book.slug == name))).first()
    if book is None:
        known = ", ".join(session.scalars(select(Book.slug).order_by(Book.slug)).all())
        raise NotFound(f"book {name} is not here", f"Name one of: {known or 'none yet'}.")
    return book


def list_books(session: Session, kind: str | None = None) -> list[Book]:
    """All books, or those of one kind, by title."""
    query = select(Book).order_by(Book.title)
    return list(session.scalars(query.where(Book.kind == kind) if kind else query))


def write_as_office(
    session: Session, book_id: str, entry_type: str, body: dict[str, Any], now: datetime
) -> Entry:
    """Sign an entry with the owner's key and keep it; raise BookError when it is not kept."""
    return write_many_as_office(session, book_id, [(entry_type, body)], now)[0]


def write_many_as_office(
    session: Session,
    book_id: str,
    items: Sequence[tuple[str, dict[str, Any]]],
    now: datetime,
    *,
    restoring: bool = False,
) -> list[Entry]:
    """Sign several entries with the owner's key and keep them all; raise BookError otherwise."""
    key = private_key(session, book_id, "owner")
    author = _next_author(session, book_id, key)
    entries = []
    for entry_type, body in items:
        at = _at(session, book_id, entry_type, body, now)
        entry, author = author.write(entry_type, body, at, with_jwk=author.n == 1)
        entries.append(entry)
    for verdict in ingest(session, book_id, [entry.jws for entry in entries], now, restoring=restoring):
        if verdict.verdict != "kept":
            raise BookError(
                f"the office's entry was {verdict.verdict}: {verdict.detail}", verdict.remedy or ""
            )
    return entries


def _at(session: Session, book_id: str, entry_type: str, body: dict[str, Any], now: datetime) -> str:
    """The server's clock; of a device never before what was said of it, since the newest word holds."""
    at = format_at(now)
    return max(at, load_trust(session, book_id).said_at(body["device"])) if entry_type in DEVICE_TYPES else at


def restore_book(session: Session, book_id: str, now: datetime, base_size: int | None = None) -> Entry:
    """Begin a new epoch after this book came back from an older copy, under a new head key.

    `base_size` is how many entries are vouched for, by default all that are here; phones cross only where
    they had the same entries before it, so a smaller one always works.
    Raise Conflict when the book has fewer.
    """
    book = lock_book(session, book_id)
    here = Frontier.from_json(book.frontier).tree_size
    base = here if base_size is None else base_size
    root = root_at(session, book_id, base) if base >= 1 else None
    if root is None:
        raise Conflict(
            f"base_size: {base} is not between 1 and {here}", "Name a size that the book has here."
        )
    head_key = PrivateKey.generate()
    keep_key(session, book_id, "head", head_key)
    epoch = max(book.epoch + 1, int(now.strftime("%Y%m%d%H%M")))
    body = {"epoch": epoch, "base_size": base, "base_root": root, "head_jwk": head_key.jwk}
    return write_many_as_office(session, book_id, [("restored", body)], now, restoring=True)[0]


def _next_author(session: Session, book_id: str, key: PrivateKey) -> Author:
    where = (LedgerEntry.book == book_id, LedgerEntry.device == key.thumbprint)
    query = select(LedgerEntry.n, LedgerEntry.entry).where(*where).order_by(LedgerEntry.n.desc()).limit(1)
    last = session.execute(query).first()
    return Author(key, book_id, last.n + 1, last.entry) if last else Author(key, book_id)


def salted_text(text: str) -> bytes:
    """A blob of free text whose hash tells nothing about it."""
    return canonical_json({"salt": base64url_encode(secrets.token_bytes(16)), "text": text})


def read_salted_text(data: bytes | None) -> str | None:
    """The text of a salted blob; None when the blob is not here or erased."""
    return None if data is None else str(json.loads(data)["text"])


def admit_device(
    session: Session,
    book_id: str,
    *,
    jwk: dict[str, str],
    name: str,
    role: str,
    now: datetime,
    person: str | None = None,
) -> Entry:
    """Admit a device under this name, in a role; entries held for it are let in.

    It is `person`'s, or its own person's when the book knows the device, or somebody new's.
    """
    device = PublicKey(jwk).thumbprint
    known = session.get(Device, (book_id, device))
    body = {
        "device": device,
        "jwk": jwk,
        "person": person or (known.person if known else f"p{secrets.token_hex(8)}"),
        "name_blob": keep_blob(session, book_id, salted_text(name)),
        "role": role,
    }
    return write_as_office(session, book_id, "device_admitted", body, now)


def held_device_jwk(session: Session, book_id: str, device: str) -> dict[str, str]:
    """The key that a held device sent along; raise NotFound."""
    query = select(HeldEntry.jws).where(HeldEntry.book == book_id, HeldEntry.device == device)
    for jws in session.scalars(query):
        jwk = read_kept(jws).jwk
        if jwk is not None:
            return jwk
    raise NotFound(
        f"device {device} has nothing held in this book", "Let the phone send again, then admit it."
    )


def current_plan(session: Session, book_id: str, wall: str) -> WallPlan | None:
    """The plan of a wall that stands, if it has one."""
    rows = session.scalars(select(WallPlan).where(WallPlan.book == book_id, WallPlan.wall == wall)).all()
    stands = current_plan_id(PlanSet(row.entry, row.replaces, row.idx, row.other) for row in rows)
    return next((row for row in rows if row.entry == stands), None)


def current_plans(session: Session, book_id: str) -> list[WallPlan]:
    """The plan of each wall that stands, by wall key."""
    walls = session.scalars(select(WallPlan.wall).where(WallPlan.book == book_id).distinct())
    plans = [current_plan(session, book_id, wall) for wall in sorted(walls)]
    return [plan for plan in plans if plan is not None]


@dataclass(frozen=True)
class FrozenPlan:
    """A wall's plan worked out: its title, itself and its checks as the bytes that are kept."""

    wall: str
    title: str
    plan_file: bytes
    checks_file: bytes


def freeze_plan(wall: str, source: dict[str, Any]) -> FrozenPlan:
    """Work a wall's plan out; raise PlanError when the wall cannot be built.

    It takes seconds for a large wall: outside of any write, which would hold up every other one.
    """
    plan = parse_plan(source)
    build_sheet(plan)  # refuses what no sheet can be worked out for
    return FrozenPlan(wall, plan.name, canonical_json(source), checks_file(wall, plan))


def set_plan(
    session: Session, book_id: str, frozen: FrozenPlan, *, replaces: str | None, now: datetime
) -> Entry:
    """Make a plan the one of its wall.

    `replaces` is the plan that the planner saw; raise Conflict when another one stands by now.
    """
    wall = frozen.wall
    lock_book(session, book_id)
    now_there = current_plan(session, book_id, wall)
    if (now_there.entry if now_there else None) != replaces:
        title = f"{now_there.title!r}" if now_there else "none"
        raise Conflict(
            f"wall {wall}: its plan is {title} by now", "Look at that plan, then send yours again."
        )
    body = {
        "wall": wall,
        "title": frozen.title,
        "replaces": replaces,
        "plan_file": keep_blob(session, book_id, frozen.plan_file),
        "checks_file": keep_blob(session, book_id, frozen.checks_file),
    }
    return write_as_office(session, book_id, "plan_set", body, now)
