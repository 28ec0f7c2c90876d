"""Who is admitted to a stored book, worked out from its own entries."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.parsing import read_kept
from seamwalk.book.trust import Trust
from seamwalk.store.tables import CHANGES_TRUST, LedgerEntry


def load_trust(session: Session, book_id: str) -> Trust:
    """Apply every entry of a book that changes trust, in index order."""
    trust = Trust(book_id)
    query = select(LedgerEntry.jws).where(LedgerEntry.book == book_id, CHANGES_TRUST)
    for jws in session.scalars(query.order_by(LedgerEntry.idx)):
        trust.take(read_kept(jws))
    return trust
