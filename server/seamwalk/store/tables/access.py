"""Who comes in: logins of the office, invites, phones and their sessions."""

from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, DateTime, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from seamwalk.store.db import Model
from seamwalk.store.tables.columns import BOOK, DEVICE, HASH


class Account(Model):
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


class OfficeSession(Model):
    """Somebody logged in at the office; the cookie's token is stored as its hash."""

    __tablename__ = "office_sessions"
    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    login: Mapped[str] = mapped_column(String(60), ForeignKey("accounts.login"), index=True)
    made_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    used_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    browser: Mapped[str] = mapped_column(String(200))


class Invite(Model):
    """A way for one phone into a book, once."""

    __tablename__ = "invites"
    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"))
    role: Mapped[str] = mapped_column(String(20))
    person: Mapped[str | None] = mapped_column(BOOK)
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))
    used_at: Mapped[datetime | None] = mapped_column(DateTime(timezone=True))
    used_by: Mapped[str | None] = mapped_column(DEVICE)


class DeviceSession(Model):
    """A phone's cookie, stored as its hash; valid for every book that admits the device."""

    __tablename__ = "device_sessions"
    token_hash: Mapped[str] = mapped_column(HASH, primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE)
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))


class Nonce(Model):
    """A challenge that was used up: its hash, until it would have expired anyway."""

    __tablename__ = "nonces"
    nonce: Mapped[str] = mapped_column(String(43), primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE)
    expires_at: Mapped[datetime] = mapped_column(DateTime(timezone=True))


class Device(Model):
    """A device that a book knows; a projection."""

    __tablename__ = "devices"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    device: Mapped[str] = mapped_column(DEVICE, primary_key=True)
    jwk: Mapped[dict[str, Any]]
    person: Mapped[str] = mapped_column(BOOK)
    name_blob: Mapped[str] = mapped_column(HASH)
    role: Mapped[str] = mapped_column(String(20))
    admitted_idx: Mapped[int] = mapped_column(BigInteger)
    revoked_idx: Mapped[int | None] = mapped_column(BigInteger)
