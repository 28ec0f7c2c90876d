"""Books: their entries, keys, heads and blobs."""

from datetime import datetime
from typing import Any

from sqlalchemy import (
    BigInteger,
    DateTime,
    ForeignKey,
    Index,
    LargeBinary,
    String,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import Mapped, mapped_column

from seamwalk.book.trust import TRUST_TYPES
from seamwalk.store.db import Model
from seamwalk.store.tables.columns import BOOK, DEVICE, EPOCH, HASH

# the condition of an index: spell it the same way to use it
CHANGES_TRUST = text(f"type IN ({', '.join(repr(name) for name in TRUST_TYPES)})")
_VOID = text("void IS NOT NULL")


class Book(Model):
    """A book and the frontier of its Merkle tree; its row is the lock of its writers."""

    __tablename__ = "books"
    id: Mapped[str] = mapped_column(BOOK, primary_key=True)
    slug: Mapped[str] = mapped_column(String(60), unique=True)
    kind: Mapped[str] = mapped_column(String(10))
    title: Mapped[str] = mapped_column(String(200))
    epoch: Mapped[int] = mapped_column(EPOCH)
    frontier: Mapped[dict[str, Any]]
    owner_fingerprint: Mapped[str] = mapped_column(DEVICE)


class Key(Model):
    """A private key that the server holds for a book, the owner's or the heads', wrapped by `wrapping.py`."""

    __tablename__ = "keys"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    purpose: Mapped[str] = mapped_column(String(10), primary_key=True)
    wrapped: Mapped[str]


class LedgerEntry(Model):
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


class HeldEntry(Model):
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


class SignedHead(Model):
    """Every head that was ever given out."""

    __tablename__ = "heads"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    epoch: Mapped[int] = mapped_column(EPOCH, primary_key=True)
    size: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    root: Mapped[str] = mapped_column(HASH)
    jws: Mapped[str]


class SeenHead(Model):
    """A head that a phone showed and that this book does not bear out: entries were lost here."""

    __tablename__ = "seen_heads"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    epoch: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    size: Mapped[int] = mapped_column(BigInteger, primary_key=True)
    root: Mapped[str] = mapped_column(HASH, primary_key=True)
    seen_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))


class Blob(Model):
    """A text, photo or frozen file, named by its hash; erased ones keep their name."""

    __tablename__ = "blobs"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(HASH, primary_key=True)
    data: Mapped[bytes | None] = mapped_column(LargeBinary)


class BlobPart(Model):
    """The first bytes of a blob that is still coming in."""

    __tablename__ = "blob_parts"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(HASH, primary_key=True)
    data: Mapped[bytes] = mapped_column(LargeBinary)


class BlobUse(Model):
    """An entry that names a blob; a projection."""

    __tablename__ = "blob_uses"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    sha256: Mapped[str] = mapped_column(HASH, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    __table_args__ = ({"sqlite_with_rowid": False},)
