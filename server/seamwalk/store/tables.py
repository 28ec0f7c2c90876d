"""The tables; those of the stock are in `stock_tables.py`. `projection_tables.py` lists the projections."""

from datetime import datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    DateTime,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from seamwalk.book.trust import TRUST_TYPES

_NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}
BOOK = String(17)
HASH = String(64)
DEVICE = String(43)
# the condition of an index: spell it the same way to use it
CHANGES_TRUST = text(f"type IN ({', '.join(repr(name) for name in TRUST_TYPES)})")
_TARGETS = text("target IS NOT NULL")
_VOID = text("void IS NOT NULL")
_EPOCH = BigInteger().with_variant(Integer, "sqlite")


class Base(DeclarativeBase):
    """Base of all tables."""

    metadata = MetaData(naming_convention=_NAMES)
    type_annotation_map = {dict[str, Any]: JSON, list[Any]: JSON}  # noqa: RUF012


class Book(Base):
    """A book and the frontier of its Merkle tree; its row is the lock of its writers."""

    __tablename__ = "books"
    id: Mapped[str] = mapped_column(BOOK, primary_key=True)
    slug: Mapped[str] = mapped_column(String(60), unique=True)
    kind: Mapped[str] = mapped_column(String(10))
    title: Mapped[str] = mapped_column(String(200))
    epoch: Mapped[int] = mapped_column(_EPOCH)
    frontier: Mapped[dict[str, Any]]
    owner_fingerprint: Mapped[str] = mapped_column(DEVICE)


class Key(Base):
    """A private key that the server holds for a book, the owner's or the heads', wrapped by `wrapping.py`."""

    __tablename__ = "keys"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    purpose: Mapped[str] = mapped_column(String(10), primary_key=True)
    wrapped: Mapped[str]


class LedgerEntry(Base):
    """A kept entry, its exact text forever.

    `other` is the id of the same entry under the other form of its signature, `void` why it has no effect,
    `fork` that its device wrote another entry under its number.
    """

    __tablename__ = "ledger"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    entry: Mapped[str] = mapped_column(HASH)
    other: Mapped[str] = mapped_column(HASH)
    type: Mapped[str] = mapped_column(String(40))
    device: Mapped[str] = mapped_column(DEVICE)
    n: Mapped[int] = mapped_column(BigInteger)
    prev: Mapped[str | None] = mapped_column(HASH)
    fork: Mapped[bool] = mapped_column(default=False)
    void: Mapped[str | None] = mapped_column(String(20))
    jws: Mapped[str]
    kept_at: Mapped[str | None] = mapped_column(String(24))
    __table_args__ = (
        UniqueConstraint("book", "entry", name="uq_ledger_entry"),
        Index("ix_ledger_other", "book", "other"),
        Index("ix_ledger_void", "book", sqlite_where=_VOID, postgresql_where=_VOID),
        Index("ix_ledger_device_n", "book", "device", "n"),
        Index("ix_ledger_trust", "book", "idx", sqlite_where=CHANGES_TRUST, postgresql_where=CHANGES_TRUST),
    )


class HeldEntry(Base):
    """An entry with a good signature that has no place in the book yet."""

    __tablename__ = "held"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH, primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE)
    n: Mapped[int] = mapped_column(BigInteger)
    why: Mapped[str] = mapped_column(String(20))
    received_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    jws: Mapped[str]
    __table_args__ = (Index("ix_held_device_n", "book", "device", "n"),)


class SignedHead(Base):
    """Every head that was ever given out."""

    __tablename__ = "heads"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    epoch: Mapped[int] = mapped_column(_EPOCH, primary_key=True)
    size: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    root: Mapped[str] = mapped_column(HASH)
    jws: Mapped[str]


class SeenHead(Base):
    """A head that a phone showed and that this book does not bear out: entries were lost here."""

    __tablename__ = "seen_heads"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    epoch: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    size: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    root: Mapped[str] = mapped_column(HASH, primary_key=True)
    seen_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))


class Blob(Base):
    """A text, photo or frozen file, named by its hash; erased ones keep their name."""

    __tablename__ = "blobs"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(HASH, primary_key=True)
    data: Mapped[bytes | None] = mapped_column(LargeBinary)


class BlobUse(Base):
    """An entry that names a blob; a projection."""

    __tablename__ = "blob_uses"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    sha256: Mapped[str] = mapped_column(HASH, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    __table_args__ = ({"sqlite_with_rowid": False},)


class BlobPart(Base):
    """The first bytes of a blob that is still coming in."""

    __tablename__ = "blob_parts"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(HASH, primary_key=True)
    data: Mapped[bytes] = mapped_column(LargeBinary)


class Account(Base):
    """An office login; `totp` is the wrapped secret of its one-time codes, `recovery` the hashes of others.

    `totp_step` is the time step of the last code that was used: none is good twice.
    """

    __tablename__ = "accounts"
    login: Mapped[str] = mapped_column(String(60), primary_key=True)
    role: Mapped[str] = mapped_column(String(20))
    password_hash: Mapped[str]
    totp: Mapped[str | None]
    totp_step: Mapped[int | None] = mapped_column(BigInteger)
    recovery: Mapped[list[Any]] = mapped_column(default=list)


class OfficeSession(Base):
    """Somebody logged in at the office; the cookie's token is stored as its hash."""

    __tablename__ = "office_sessions"
    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    login: Mapped[str] = mapped_column(String(60), ForeignKey("accounts.login"), index=True)
    made_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    used_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    browser: Mapped[str] = mapped_column(String(200))


class Invite(Base):
    """A way for one phone into a book, once."""

    __tablename__ = "invites"
    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"))
    role: Mapped[str] = mapped_column(String(20))
    person: Mapped[str | None] = mapped_column(BOOK)
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    used_at: Mapped[datetime | None] = mapped_column(DateTime(timezone=True))
    used_by: Mapped[str | None] = mapped_column(DEVICE)


class DeviceSession(Base):
    """A phone's cookie, stored as its hash; valid for every book that admits the device."""

    __tablename__ = "device_sessions"
    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE)
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))


class Nonce(Base):
    """A challenge that was used up: its hash, until it would have expired anyway."""

    __tablename__ = "nonces"
    nonce: Mapped[str] = mapped_column(String(43), primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE)
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))


# --- projections: made from the ledger, made again by `seamwalk rebuild` ---


class Device(Base):
    """A device that a book knows."""

    __tablename__ = "devices"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE, primary_key=True)
    jwk: Mapped[dict[str, Any]]
    person: Mapped[str] = mapped_column(BOOK)
    name_blob: Mapped[str] = mapped_column(HASH)
    role: Mapped[str] = mapped_column(String(20))
    admitted_idx: Mapped[int] = mapped_column(BigInteger)
    revoked_idx: Mapped[int | None] = mapped_column(BigInteger)


class WallPlan(Base):
    """A plan of a wall; which one stands follows from what each replaces."""

    __tablename__ = "plans"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH, primary_key=True)
    other: Mapped[str] = mapped_column(HASH)
    idx: Mapped[int] = mapped_column(BigInteger)
    wall: Mapped[str] = mapped_column(String(8))
    title: Mapped[str] = mapped_column(String(200))
    replaces: Mapped[str | None] = mapped_column(HASH)
    plan_file: Mapped[str] = mapped_column(HASH)
    checks_file: Mapped[str] = mapped_column(HASH)


class ActRow(Base):
    """A finding, reopening or withdrawal, at the place of its entry; found by entry through the ledger."""

    __tablename__ = "acts"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    entry: Mapped[str] = mapped_column(HASH)
    other: Mapped[str] = mapped_column(HASH)
    kind: Mapped[str] = mapped_column(String(12))
    author: Mapped[str] = mapped_column(DEVICE)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    checks: Mapped[list[Any]]
    weight: Mapped[str | None] = mapped_column(String(10))
    reason: Mapped[str | None] = mapped_column(String(40))
    note_blob: Mapped[str | None] = mapped_column(HASH)
    answers: Mapped[list[Any]]
    target: Mapped[str | None] = mapped_column(HASH)
    __table_args__ = (
        Index("ix_acts_target", "book", "target", "author", sqlite_where=_TARGETS, postgresql_where=_TARGETS),
        {"sqlite_with_rowid": False},
    )


class ActivityRow(Base):
    """What was told beside the checks: an act, a changed part, a reading or a photo."""

    __tablename__ = "told"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    entry: Mapped[str] = mapped_column(HASH)
    type: Mapped[str] = mapped_column(String(40))
    author: Mapped[str] = mapped_column(DEVICE)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    body: Mapped[dict[str, Any]]


class ActCheck(Base):
    """Which checks an act names; `answering` where it is an ok that answers something."""

    __tablename__ = "act_checks"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    check: Mapped[str] = mapped_column("check_id", String(100), primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    answering: Mapped[bool]
    __table_args__ = ({"sqlite_with_rowid": False},)


class CheckStateRow(Base):
    """How a check stands."""

    __tablename__ = "check_states"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    check: Mapped[str] = mapped_column("check_id", String(100), primary_key=True)
    rank: Mapped[int]
    standing: Mapped[list[Any]]
    __table_args__ = ({"sqlite_with_rowid": False},)


class SignOff(Base):
    """A signed statement over a wall."""

    __tablename__ = "sign_offs"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    wall: Mapped[str] = mapped_column(String(8))
    body: Mapped[dict[str, Any]]
