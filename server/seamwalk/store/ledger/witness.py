"""What phones saw against what this server has: a book that lost entries is found out, and stops."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from seamwalk.book.head import Head, read_claim, read_head
from seamwalk.book.merkle import root_of
from seamwalk.book.trust import Restore
from seamwalk.errors import LostEntries
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.tables import Book, LedgerEntry, SeenHead, SignedHead

_REMEDY = "Keep what is on the phones. Put the newest copy back or run `seamwalk restore`, then sync again."


@dataclass(frozen=True)
class Comparison:
    """A phone's head, whether this book bears it out, and the restores that the phone has not crossed yet."""

    head: Head
    fits: bool
    restores: tuple[Restore, ...] = ()


def compare(session: Session, book_id: str, jws: str) -> Comparison:
    """Compare a phone's signed head with this book; raise BookError when it is no head.

    A head of an earlier epoch fits and names the restores to cross. One of this epoch fits when the first
    `size` stored entries hash to its root. Raise LostEntries when it was signed by a key that came after all
    that this server has.
    """
    signer, claim = read_claim(jws)
    signed = session.get(SignedHead, (book_id, claim.epoch, claim.size))
    book = session.get(Book, book_id)
    if signed is not None and signed.jws == jws and book is not None and signed.epoch == book.epoch:
        return Comparison(claim, True)
    trust = load_trust(session, book_id)
    key = trust.head_keys.get(signer)
    if key is None:
        raise lost_entries(book_id, "a phone has seen a later book than this server has")
    head = read_head(jws, key)
    if head.epoch < trust.epoch:
        return Comparison(head, True, tuple(item for item in trust.restores if item.epoch > head.epoch))
    return Comparison(head, bears_out(session, head))


def lost_entries(book_id: str, what: str) -> LostEntries:
    """The error that says so, with the way back."""
    return LostEntries(f"book {book_id}: {what}", _REMEDY)


def bears_out(session: Session, head: Head) -> bool:
    """Whether the first `head.size` entries of a book hash to the head's root."""
    signed = session.get(SignedHead, (head.book, head.epoch, head.size))
    if signed is not None and signed.root == head.root:
        return True
    return root_at(session, head.book, head.size) == head.root


def root_at(session: Session, book_id: str, size: int) -> str | None:
    """The root (hex) of a book's first `size` entries; None when it has fewer."""
    where = (LedgerEntry.book == book_id, LedgerEntry.idx < size)
    ids = session.scalars(select(LedgerEntry.entry).where(*where).order_by(LedgerEntry.idx)).all()
    return root_of([bytes.fromhex(entry) for entry in ids]).hex() if len(ids) == size else None


def note_contradiction(session: Session, head: Head, now: datetime) -> None:
    """Keep a head that this book does not bear out: from now on the book takes nothing in."""
    session.merge(SeenHead(book=head.book, epoch=head.epoch, size=head.size, root=head.root, seen_at=now))


def contradictions(session: Session, book_id: str) -> list[SeenHead]:
    """Heads of the book's own epoch that phones showed and that it does not bear out, largest first."""
    own = select(Book.epoch).where(Book.id == book_id).scalar_subquery()
    query = select(SeenHead).where(SeenHead.book == book_id, SeenHead.epoch >= own)
    return list(session.scalars(query.order_by(SeenHead.size.desc())))


def require_whole(session: Session, book_id: str) -> None:
    """Raise LostEntries while a phone's head says that this book has lost entries.

    A head that the book bears out again, because a newer copy was put back, is forgotten.
    """
    for seen in contradictions(session, book_id):
        if bears_out(session, Head(book_id, seen.epoch, seen.size, seen.root, "")):
            where = (SeenHead.book == book_id, SeenHead.epoch == seen.epoch, SeenHead.size == seen.size)
            session.execute(delete(SeenHead).where(*where, SeenHead.root == seen.root))
        else:
            what = f"a phone has seen {seen.size} entries that this server does not have"
            raise lost_entries(book_id, what)
