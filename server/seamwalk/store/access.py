"""Who gets in: office accounts, invites for phones, sessions of devices. Tokens are stored as hashes."""

import secrets
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import ceil

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session
from werkzeug.security import check_password_hash, generate_password_hash

from seamwalk.book.jose import sha256_hex
from seamwalk.errors import Conflict, Forbidden, NotFound
from seamwalk.store.tables import Account, Device, DeviceSession, Invite, Nonce

MAX_FAILURES = 5
LOCKED_FOR = timedelta(minutes=5)
MAX_INVITE_HOURS = 24
SESSION_LASTS = timedelta(days=30)
NONCE_LASTS = timedelta(minutes=5)


@dataclass(frozen=True)
class Invited:
    """What an invite is good for."""

    book: str
    role: str
    person: str | None


def add_account(session: Session, login: str, password: str, role: str) -> None:
    """Add an office login; raise Conflict when it is taken."""
    if session.get(Account, login) is not None:
        raise Conflict(f"login: {login} is taken", "Choose another login.")
    session.add(Account(login=login, role=role, password_hash=generate_password_hash(password), failures=0))


def log_in(session: Session, login: str, password: str, now: datetime) -> Account:
    """Check a password; raise Forbidden. After five wrong ones the account waits five minutes."""
    wrong = Forbidden("login: name or password is wrong", "Try again, or let an admin set a new password.")
    account = session.scalars(select(Account).where(Account.login == login).with_for_update()).one_or_none()
    if account is None:
        generate_password_hash(password)
        raise wrong
    if account.locked_until is not None and _aware(account.locked_until) > now:
        minutes = ceil((_aware(account.locked_until) - now).total_seconds() / 60)
        raise Forbidden(
            f"login: five wrong passwords for {login}", f"Wait {minutes} minutes, then try again."
        )
    if check_password_hash(account.password_hash, password):
        account.failures, account.locked_until = 0, None
        return account
    account.failures += 1
    if account.failures >= MAX_FAILURES:
        account.failures, account.locked_until = 0, now + LOCKED_FOR
    raise wrong


def make_invite(
    session: Session, book_id: str, role: str, hours: int, now: datetime, person: str | None = None
) -> str:
    """Make an invite good for one phone, of `person` or somebody new; return its token."""
    token = secrets.token_urlsafe(32)
    expires = now + timedelta(hours=min(hours, MAX_INVITE_HOURS))
    session.add(Invite(token_hash=_hash(token), book=book_id, role=role, person=person, expires_at=expires))
    return token


def use_invite(session: Session, token: str, device: str, now: datetime) -> Invited:
    """Use an invite up for a device; raise NotFound, or Conflict when it was used or has expired."""
    fresh = (Invite.token_hash == _hash(token), Invite.used_at.is_(None), Invite.expires_at > now)
    statement = update(Invite).where(*fresh).values(used_at=now, used_by=device)
    row = session.execute(statement.returning(Invite.book, Invite.role, Invite.person)).first()
    if row is not None:
        return Invited(row.book, row.role, row.person)
    if session.get(Invite, _hash(token)) is None:
        raise NotFound("token: no such invite", "Scan the office's QR again, or ask for a new one.")
    raise Conflict("token: this invite was used or has expired", "Ask the office for a new one.")


def make_nonce(session: Session, device: str, now: datetime) -> str:
    """Make a challenge for a device to sign within five minutes."""
    session.execute(delete(Nonce).where(Nonce.expires_at < now))
    nonce = secrets.token_urlsafe(32)
    session.add(Nonce(nonce=nonce, device=device, expires_at=now + NONCE_LASTS))
    return nonce


def use_nonce(session: Session, nonce: str, now: datetime) -> str:
    """Use a challenge up and return its device; raise Forbidden."""
    statement = delete(Nonce).where(Nonce.nonce == nonce, Nonce.expires_at > now).returning(Nonce.device)
    device = session.scalars(statement).first()
    if device is None:
        raise Forbidden("nonce: unknown, used or expired", "Ask for a new nonce and sign that.")
    return device


def make_session(session: Session, device: str, now: datetime) -> str:
    """Open a session for a device; return the cookie's token."""
    session.execute(delete(DeviceSession).where(DeviceSession.expires_at < now))
    token = secrets.token_urlsafe(32)
    session.add(DeviceSession(token_hash=_hash(token), device=device, expires_at=now + SESSION_LASTS))
    return token


def session_device(session: Session, token: str | None, now: datetime) -> str | None:
    """The device of a cookie's token, None when there is no such session."""
    row = session.get(DeviceSession, _hash(token)) if token else None
    return row.device if row is not None and _aware(row.expires_at) > now else None


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
    return sha256_hex(token.encode())


def _aware(moment: datetime) -> datetime:
    """SQLite gives times back without their zone; all are UTC."""
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
