"""Who is logged in at the office: a row for each, so that one can be ended. Tokens are stored as hashes.

A session ends when it was not used for `IDLE_TIMEOUT`, `LIFETIME` after it was made, when somebody ends it,
and when the password changes.
"""

import secrets
from datetime import UTC, datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from seamwalk.book.jose import sha256_hex
from seamwalk.store.tables import OfficeSession

IDLE_TIMEOUT = timedelta(hours=12)
LIFETIME = timedelta(days=7)
# a row is written for a use at most this often
TOUCH_INTERVAL = timedelta(minutes=5)
MAX_PER_LOGIN = 20
_BROWSER_CHARACTERS = 200


def begin(session: Session, login: str, browser: str, now: datetime) -> str:
    """Log somebody in; return the cookie's token. Drops expired sessions and any over `MAX_PER_LOGIN`."""
    _remove_expired(session, now)
    for row in sessions_of(session, login, now)[MAX_PER_LOGIN - 1 :]:
        session.delete(row)
    token = secrets.token_urlsafe(32)
    times = {"made_at": now, "used_at": now, "expires_at": now + LIFETIME}
    printable = "".join(letter for letter in browser if letter.isprintable())[:_BROWSER_CHARACTERS]
    session.add(OfficeSession(token_hash=hash_of(token), login=login, browser=printable, **times))
    return token


def find(session: Session, token: str | None, now: datetime) -> OfficeSession | None:
    """The session of a cookie's token, None when there is none or it is over."""
    row = session.get(OfficeSession, hash_of(token)) if token else None
    return row if row is not None and _is_live(row, now) else None


def needs_touch(row: OfficeSession, now: datetime) -> bool:
    """Whether its use is to be written down."""
    return now - as_utc(row.used_at) >= TOUCH_INTERVAL


def touch(session: Session, token_hash: str, now: datetime) -> None:
    """Write down that a session was used."""
    row = session.get(OfficeSession, token_hash)
    if row is not None:
        row.used_at = now


def sessions_of(session: Session, login: str, now: datetime) -> list[OfficeSession]:
    """A login's live sessions, the last used first."""
    query = select(OfficeSession).where(OfficeSession.login == login)
    rows = session.scalars(query.order_by(OfficeSession.used_at.desc(), OfficeSession.token_hash))
    return [row for row in rows if _is_live(row, now)]


def end(session: Session, login: str, token_hash: str) -> None:
    """End one session of a login; one that is over already is no matter."""
    where = (OfficeSession.login == login, OfficeSession.token_hash == token_hash)
    session.execute(delete(OfficeSession).where(*where))


def end_all(session: Session, login: str, keep: str | None = None) -> int:
    """End a login's sessions, but for the one of hash `keep`; return how many."""
    where = (OfficeSession.login == login, OfficeSession.token_hash != (keep or ""))
    return len(session.scalars(delete(OfficeSession).where(*where).returning(OfficeSession.token_hash)).all())


def hash_of(token: str) -> str:
    """What is stored of a token."""
    return sha256_hex(token.encode("utf-8", "replace"))


def as_utc(moment: datetime) -> datetime:
    """SQLite gives times back without their zone; all are UTC."""
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def _is_live(row: OfficeSession, now: datetime) -> bool:
    return as_utc(row.expires_at) > now and now - as_utc(row.used_at) < IDLE_TIMEOUT


def _remove_expired(session: Session, now: datetime) -> None:
    over = (OfficeSession.expires_at <= now) | (OfficeSession.used_at <= now - IDLE_TIMEOUT)
    session.execute(delete(OfficeSession).where(over))
