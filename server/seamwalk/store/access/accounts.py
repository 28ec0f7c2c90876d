"""Logins of the office: their passwords and one-time codes. Slow work at a login is outside of a session."""

import re
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from seamwalk.book.jose import sha256_hex
from seamwalk.errors import Conflict, Forbidden, NotFound
from seamwalk.store.access import one_time_codes, passwords
from seamwalk.store.access.office_sessions import end_all
from seamwalk.store.engine import Store
from seamwalk.store.ledger.keys import ring_of, totp_context
from seamwalk.store.tables import Account

_LOGIN = re.compile(r"[\w.@+-]{1,60}", re.UNICODE)
WRONG_PASSWORD = Forbidden(
    "login: name or password is wrong", "Try again, or let an admin set a new password."
)
WRONG_CODE = Forbidden("code: it is wrong, or was used before", "Wait for the next one, and type that.")


@dataclass(frozen=True)
class VerifiedLogin:
    """A login that has proved its password; `stamp` changes with the password."""

    login: str
    role: str
    has_totp: bool
    stamp: str


def add_account(session: Session, login: str, password: str, role: str) -> None:
    """Add an office login; raise Conflict when it is taken or the password is weak."""
    if not _LOGIN.fullmatch(login):
        raise Conflict(
            f"login: {login!r} is not a valid login name", "Use letters, digits and . _ @ + -, at most 60."
        )
    if session.get(Account, login) is not None:
        raise Conflict(f"login: {login} is taken", "Choose another one, or add --new-password.")
    hashed = passwords.new_hash(password, login)
    session.add(Account(login=login, role=role, password_hash=hashed, recovery=[]))


def account_of(session: Session, login: str) -> Account:
    """A login's row; raise NotFound."""
    account = _find(session, login)
    if account is None:
        known = ", ".join(session.scalars(select(Account.login).order_by(Account.login)))
        raise NotFound(f"login {login} is not here", f"Name one of: {known or 'none yet'}.")
    return account


def list_accounts(session: Session) -> list[Account]:
    """All logins, by name."""
    return list(session.scalars(select(Account).order_by(Account.login)))


def check_password(store: Store, login: str, password: str) -> VerifiedLogin:
    """Check a password; raise Forbidden, the same and after the same work for a login that there is not.

    A hash that is not made as hashes are made today is replaced.
    """
    with store.read() as session:
        account = _find(session, login)
        hashed = account.password_hash if account else None
        old = _old_ones_are_left(session)
    if not passwords.verifies(hashed, password, old_ones_are_left=old) or account is None or hashed is None:
        raise WRONG_PASSWORD
    if not passwords.is_current(hashed):
        hashed = _rehash(store, login, hashed, password)
    return VerifiedLogin(account.login, account.role, account.totp is not None, _stamp(hashed))


def set_password(session: Session, login: str, hashed: str, keep: str | None = None) -> None:
    """Set a new password by its hash (`passwords.new_hash`) and end the login's sessions, but for `keep`."""
    account_of(session, login).password_hash = hashed
    end_all(session, login, keep)


def require_same_password(session: Session, login: str, stamp: str) -> Account:
    """A login whose password is still the one that was proved; raise Forbidden."""
    account = _find(session, login)
    if account is None or _stamp(account.password_hash) != stamp:
        raise WRONG_PASSWORD
    return account


def use_code(session: Session, login: str, stamp: str, typed: str, now: datetime) -> Account:
    """Use up a one-time code or a recovery code of a login; raise Forbidden, KeyUnavailable."""
    require_same_password(session, login, stamp)
    account = session.scalars(select(Account).where(Account.login == login).with_for_update()).one()
    recovery = one_time_codes.recovery_hash(typed)
    if recovery in account.recovery:
        account.recovery = [kept for kept in account.recovery if kept != recovery]
        return account
    secret = ring_of(session).unwrap(account.totp or "", totp_context(login))
    step = one_time_codes.matching_step(secret, _digits(typed), now, account.totp_step)
    if step is None:
        raise WRONG_CODE
    account.totp_step = step
    return account


def enable_totp(session: Session, login: str, secret: str, typed: str, now: datetime) -> list[str]:
    """Ask for one-time codes from now on, once one was typed; return the recovery codes, told this once."""
    step = one_time_codes.matching_step(secret, _digits(typed), now, None)
    if step is None:
        raise WRONG_CODE
    account = account_of(session, login)
    account.totp, account.totp_step = ring_of(session).wrap(secret, totp_context(login)), step
    return renew_recovery_codes(session, login)


def renew_recovery_codes(session: Session, login: str) -> list[str]:
    """Make new recovery codes; the old ones stop working."""
    codes = one_time_codes.recovery_codes()
    account_of(session, login).recovery = [one_time_codes.recovery_hash(code) for code in codes]
    return codes


def disable_totp(session: Session, login: str) -> None:
    """Ask for a password alone from now on."""
    account = account_of(session, login)
    account.totp, account.totp_step, account.recovery = None, None, []


def remove_account(session: Session, login: str) -> None:
    """Remove a login and end its sessions."""
    account_of(session, login)
    end_all(session, login)
    session.execute(delete(Account).where(Account.login == login))


def _find(session: Session, login: str) -> Account | None:
    """A login's row; what can be no login is none, and the database is not asked for it."""
    return session.get(Account, login) if _LOGIN.fullmatch(login) else None


def _old_ones_are_left(session: Session) -> bool:
    where = ~Account.password_hash.startswith("$argon2id$", autoescape=True)
    return bool(session.scalar(select(func.count()).select_from(Account).where(where)))


def _rehash(store: Store, login: str, before: str, password: str) -> str:
    """Keep today's kind of hash, unless somebody set another password meanwhile."""
    hashed = passwords.hash_password(password)
    with store.write() as session:
        account = account_of(session, login)
        if account.password_hash == before:
            account.password_hash = hashed
    return hashed


def _stamp(hashed: str) -> str:
    return sha256_hex(hashed.encode())[:16]


def _digits(typed: str) -> str:
    return "".join(typed.split())
