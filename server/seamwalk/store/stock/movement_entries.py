"""Entries found by the movements of things that they tell of."""

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry
from seamwalk.book.parsing import read_kept
from seamwalk.store.stock.locations import not_withdrawn
from seamwalk.store.stock_tables import MovementRow
from seamwalk.store.tables import LedgerEntry


def movement_entries(session: Session, *where: ColumnElement[bool]) -> list[tuple[Entry, str]]:
    """Entries with their authors, book by book in order, each once; those taken back are left out."""
    named = (MovementRow.book, MovementRow.idx, MovementRow.author)
    found = select(*named).where(*where, not_withdrawn()).distinct().subquery()
    same = (LedgerEntry.book == found.c.book) & (LedgerEntry.idx == found.c.idx)
    query = select(found.c.author, LedgerEntry.jws).join(LedgerEntry, same)
    rows = session.execute(query.order_by(found.c.book, found.c.idx))
    return [(read_kept(jws), author) for author, jws in rows]
