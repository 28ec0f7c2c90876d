"""The private keys that the server holds for its books, wrapped; the only place that hands one out."""

from collections.abc import Iterator
from typing import Literal, cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.jose import PrivateKey
from seamwalk.errors import KeyUnavailable
from seamwalk.store.engine import RING
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.tables import Account, Book, Key
from seamwalk.store.wrapping import NO_KEYS, KeyRing

Purpose = Literal["owner", "head"]
PURPOSES: tuple[Purpose, ...] = ("owner", "head")


def ring_of(session: Session) -> KeyRing:
    """The key ring of a store's session."""
    return cast(KeyRing, session.info.get(RING, NO_KEYS))


def private_key(session: Session, book_id: str, purpose: Purpose) -> PrivateKey:
    """Open a book's private key; raise KeyUnavailable when the wrapping key is not here."""
    wrapped = session.get_one(Key, (book_id, purpose)).wrapped
    return PrivateKey.from_pem(ring_of(session).unwrap(wrapped, key_context(book_id, purpose)))


def keep_key(session: Session, book_id: str, purpose: Purpose, key: PrivateKey) -> None:
    """Keep a book's private key, wrapped, instead of what was there.

    Raise KeyUnavailable when the wrapping key is not here, or is not the one of the keys that are.
    """
    away = unavailable_keys(session)
    if away is not None:
        raise away
    wrapped = ring_of(session).wrap(key.to_pem(), key_context(book_id, purpose))
    session.merge(Key(book=book_id, purpose=purpose, wrapped=wrapped))


def key_context(book_id: str, purpose: str) -> str:
    """What a wrapped key is bound to."""
    return f"the {purpose} key of book {book_id}"


def totp_context(login: str) -> str:
    """What a wrapped shared secret of one-time codes is bound to."""
    return f"the one-time codes of login {login}"


def unavailable_keys(session: Session) -> KeyUnavailable | None:
    """Why private keys cannot be opened here, None when all can: without them the server only reads."""
    try:
        for key in session.scalars(select(Key)):
            ring_of(session).unwrap(key.wrapped, key_context(key.book, key.purpose))
    except KeyUnavailable as away:
        return away
    return None


def key_problems(session: Session) -> Iterator[str]:
    """Open every wrapped secret and compare each key with what its book says; a line for each that fails."""
    try:
        ring_of(session).here()
    except KeyUnavailable as away:
        yield f"{away.message}. {away.remedy}"
        return
    for book in session.scalars(select(Book).order_by(Book.slug)):
        for purpose in PURPOSES:
            if session.get(Key, (book.id, purpose)) is not None:
                yield from _key_problem(session, book, purpose)
    for account in session.scalars(select(Account).where(Account.totp.is_not(None))):
        yield from _totp_problem(session, account)


def _key_problem(session: Session, book: Book, purpose: Purpose) -> Iterator[str]:
    try:
        here = private_key(session, book.id, purpose).thumbprint
    except KeyUnavailable as away:
        yield f"{book.slug}: {away.message}. {away.remedy}"
        return
    if here != _named(session, book, purpose):
        yield f"{book.slug}: its {purpose} key is not the one that the book names. Put the newest copy back."


def _totp_problem(session: Session, account: Account) -> Iterator[str]:
    try:
        ring_of(session).unwrap(account.totp or "", totp_context(account.login))
    except KeyUnavailable as away:
        yield f"{away.message}. {away.remedy}"


def _named(session: Session, book: Book, purpose: Purpose) -> str | None:
    """The thumbprint of the key that the book itself names."""
    if purpose == "owner":
        return book.owner_fingerprint
    head_key = load_trust(session, book.id).head_key
    return head_key.thumbprint if head_key else None
