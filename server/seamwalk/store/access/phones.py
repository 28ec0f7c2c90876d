"""How phones get in: invites, and sessions of devices. Tokens are stored as hashes.

A challenge is signed by the server and not stored: whoever asks for many fills no table. It is stored, by its
hash, once an admitted device has used it, until it would have expired.
"""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from itsdangerous import BadData, URLSafeSerializer
from sqlalchemy import ColumnElement, delete, func, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from seamwalk.book.jose import base64url_encode, sha256_hex
from seamwalk.errors import Forbidden, InviteRefused, LimitReached
from seamwalk.store.access.office_sessions import as_utc
from seamwalk.store.tables import Device, DeviceSession, Invite, Nonce

MAX_INVITE_HOURS = 24
MAX_OPEN_INVITES = 200
# for so long a phone that comes too late is told that its invite has expired; afterwards it is unknown
_EXPIRED_KEPT = timedelta(days=30)
SESSION_LIFETIME = timedelta(days=30)
MAX_SESSIONS = 10
NONCE_LIFETIME = timedelta(minutes=5)
MAX_SIGN_INS = 20
_NONCE = "seamwalk-nonce"
_DEVICE_CHARACTERS = 43


@dataclass(frozen=True)
class InviteGrant:
    """What an invite admits to: a book, in a role, as a person or as somebody new.

    `is_again` tells that it has admitted this device before.
    """

    book: str
    role: str
    person: str | None
    is_again: bool = False


def make_invite(
    session: Session, book_id: str, role: str, hours: int, now: datetime, person: str | None = None
) -> str:
    """Make an invite good for one phone, of `person` or somebody new; return its token.

    Those that expired long ago are removed. Raise LimitReached when a book has `MAX_OPEN_INVITES` open.
    """
    session.execute(delete(Invite).where(Invite.expires_at <= now - _EXPIRED_KEPT))
    if open_invites(session, book_id, now) >= MAX_OPEN_INVITES:
        message = f"invites: {MAX_OPEN_INVITES} of this book wait to be used"
        raise LimitReached(message, "Take them back, or wait until they expire.")
    token = secrets.token_urlsafe(32)
    expires = now + timedelta(hours=min(hours, MAX_INVITE_HOURS))
    session.add(Invite(token_hash=_hash(token), book=book_id, role=role, person=person, expires_at=expires))
    return token


def open_invites(session: Session, book_id: str, now: datetime) -> int:
    """How many invites of a book wait to be used."""
    return session.scalar(select(func.count()).select_from(Invite).where(*_is_open(book_id, now))) or 0


def revoke_invites(session: Session, book_id: str, now: datetime) -> None:
    """Let no open invite of a book be good any more."""
    session.execute(delete(Invite).where(*_is_open(book_id, now)))


def _is_open(book_id: str, now: datetime) -> tuple[ColumnElement[bool], ...]:
    return Invite.book == book_id, Invite.used_at.is_(None), Invite.expires_at > now


def use_invite(session: Session, token: str, device: str, now: datetime) -> InviteGrant:
    """Use an invite up for a device, once; raise InviteRefused.

    A device that used it and is still admitted is let in again: its first answer may have been lost.
    """
    fresh = (Invite.token_hash == _hash(token), Invite.used_at.is_(None), Invite.expires_at > now)
    statement = update(Invite).where(*fresh).values(used_at=now, used_by=device)
    row = session.execute(statement.returning(Invite.book, Invite.role, Invite.person)).first()
    if row is not None:
        return InviteGrant(row.book, row.role, row.person)
    invite = session.get(Invite, _hash(token))
    if invite is None:
        raise InviteRefused(
            "this server knows no such invite",
            "Scan the whole QR again, or ask the office for a new invite.",
            "unknown",
        )
    known = admitted(session, invite.book, device) if invite.used_by == device else None
    if known is not None:
        return InviteGrant(invite.book, known.role, known.person, is_again=True)
    if invite.used_at is not None:
        raise InviteRefused("this invite was used by a phone", "Ask the office for a new one.", "used")
    raise InviteRefused("this invite has expired", "Ask the office for a new one.", "expired")


def make_nonce(secret_key: str, device: str, now: datetime) -> str:
    """Make a challenge for a device to sign within five minutes."""
    expires = int((now + NONCE_LIFETIME).timestamp())
    random = secrets.token_urlsafe(16)
    return str(_nonces(secret_key).dumps([device[:_DEVICE_CHARACTERS], random, expires]))


def use_nonce(session: Session, secret_key: str, nonce: str, now: datetime) -> str:
    """Use a challenge up and return its device; raise Forbidden, or LimitReached of one device."""
    wrong = Forbidden("nonce: unknown, used or expired", "Ask for a new nonce and sign that.")
    try:
        device, _, expires = _nonces(secret_key).loads(nonce)
    except (BadData, UnicodeEncodeError) as error:
        raise wrong from error
    if expires <= now.timestamp():
        raise wrong
    _limit_sign_ins(session, device, now)
    used = Nonce(nonce=_nonce_hash(nonce), device=device, expires_at=now + NONCE_LIFETIME)
    try:
        with session.begin_nested():
            session.add(used)
    except IntegrityError as error:
        raise wrong from error
    return str(device)


def _limit_sign_ins(session: Session, device: str, now: datetime) -> None:
    session.execute(delete(Nonce).where(Nonce.expires_at < now))
    used = session.scalar(select(func.count()).select_from(Nonce).where(Nonce.device == device)) or 0
    if used >= MAX_SIGN_INS:
        message = f"device: it signed in {used} times within {NONCE_LIFETIME.seconds // 60} minutes"
        raise LimitReached(message, "Try again later.", NONCE_LIFETIME.seconds)


def _nonces(secret_key: str) -> URLSafeSerializer:
    return URLSafeSerializer(secret_key, salt=_NONCE)


def _nonce_hash(nonce: str) -> str:
    return base64url_encode(hashlib.sha256(nonce.encode()).digest())


def make_session(session: Session, device: str, now: datetime) -> str:
    """Open a session for a device; return the cookie's token. Its oldest beyond `MAX_SESSIONS` go."""
    session.execute(delete(DeviceSession).where(DeviceSession.expires_at < now))
    mine = select(DeviceSession).where(DeviceSession.device == device)
    for row in session.scalars(mine.order_by(DeviceSession.expires_at.desc()).offset(MAX_SESSIONS - 1)):
        session.delete(row)
    token = secrets.token_urlsafe(32)
    session.add(DeviceSession(token_hash=_hash(token), device=device, expires_at=now + SESSION_LIFETIME))
    return token


def session_device(session: Session, token: str | None, now: datetime) -> str | None:
    """The device of a cookie's token, None when there is no such session."""
    row = session.get(DeviceSession, _hash(token)) if token else None
    return row.device if row is not None and as_utc(row.expires_at) > now else None


def admitted(session: Session, book_id: str, device: str | None) -> Device | None:
    """A device's row if this book admits it now."""
    row = session.get(Device, (book_id, device)) if device else None
    return row if row is not None and row.revoked_idx is None else None


def admitted_anywhere(session: Session, device: str) -> Device | None:
    """A device's row in any book that admits it now."""
    return session.scalars(
        select(Device).where(Device.device == device, Device.revoked_idx.is_(None))
    ).first()


def _hash(token: str) -> str:
    return sha256_hex(token.encode("utf-8", "replace"))
