"""What was found at a wall's checks, how they stand, what was signed: all of it projections."""

from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index, String, text
from sqlalchemy.orm import Mapped, mapped_column

from seamwalk.store.db import Model
from seamwalk.store.tables.columns import BOOK, DEVICE, HASH

_TARGETS = text("target IS NOT NULL")


class ActRow(Model):
    """A finding, reopening, release or withdrawal, at the place of its entry; found by it through the ledger.

    `reopens` are those of `checks` that a fault opens again, `ahead` what an ok ahead of its turn says of
    that, `duty` by whom a stop is released.
    """

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
    reopens: Mapped[list[Any]]
    ahead: Mapped[dict[str, Any] | None]
    duty: Mapped[str | None] = mapped_column(String(10))
    target: Mapped[str | None] = mapped_column(HASH)
    __table_args__ = (
        Index("ix_acts_target", "book", "target", "author", sqlite_where=_TARGETS, postgresql_where=_TARGETS),
        {"sqlite_with_rowid": False},
    )


class ActCheck(Model):
    """Which checks an act names; `answering` where it is an ok that answers something."""

    __tablename__ = "act_checks"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    check: Mapped[str] = mapped_column("check_id", String(100), primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    answering: Mapped[bool]
    __table_args__ = ({"sqlite_with_rowid": False},)


class CheckStateRow(Model):
    """How a check stands."""

    __tablename__ = "check_states"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    check: Mapped[str] = mapped_column("check_id", String(100), primary_key=True)
    rank: Mapped[int]
    standing: Mapped[list[Any]]
    __table_args__ = ({"sqlite_with_rowid": False},)


class SignOff(Model):
    """A signed statement over a wall."""

    __tablename__ = "sign_offs"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    wall: Mapped[str] = mapped_column(String(8))
    body: Mapped[dict[str, Any]]
