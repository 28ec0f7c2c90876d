"""What books from before the newest rules need: an entry by their owner that begins them."""

from datetime import datetime

from sqlalchemy.orm import Session

from seamwalk.book.rules import NEWEST
from seamwalk.errors import KeyUnavailable, LostEntries
from seamwalk.store.engine import Store
from seamwalk.store.ledger.books import list_books, write_as_office
from seamwalk.store.ledger.trust_state import load_trust


def begin_newest_rules(store: Store, now: datetime) -> None:
    """Begin the newest rules in every book that is under older ones.

    A book that has stopped because it lost entries is left for the start after it is whole again, and every
    book is while its owner's key cannot be opened.
    """
    with store.read() as session:
        behind = [book.id for book in list_books(session) if is_behind(session, book.id)]
    for book in behind:
        try:
            with store.write() as session:
                write_as_office(session, book, "rules_begun", {"rules": NEWEST}, now)
        except (KeyUnavailable, LostEntries):
            continue


def is_behind(session: Session, book: str) -> bool:
    """Whether a book is under older rules than the newest."""
    return load_trust(session, book).rules < NEWEST
