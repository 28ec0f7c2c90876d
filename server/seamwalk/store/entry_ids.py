"""References to entries as they are kept: whoever wrote one may have seen the other form of a signature."""

from collections.abc import Collection, Mapping

from sqlalchemy import ColumnElement, and_, select, update
from sqlalchemy.orm import Session

from seamwalk.store.rows import among
from seamwalk.store.tables import ActRow, LedgerEntry


def kept_ids(session: Session, book: str, references: Collection[str]) -> dict[str, str]:
    """The ids of a book's entries by references that name their other form; others are left out."""
    named = (LedgerEntry.book == book, LedgerEntry.void.is_(None))
    query = select(LedgerEntry.other, LedgerEntry.entry).where(*named)
    rows = session.execute(query.where(among(session, LedgerEntry.other, references)))
    return {row.other: row.entry for row in rows}


def of_type(book: str, entry_type: str) -> ColumnElement[bool]:
    """The condition that a ledger's row is an entry of a type which has an effect in a book."""
    return and_(LedgerEntry.book == book, LedgerEntry.type == entry_type, LedgerEntry.void.is_(None))


def resolve_targets(session: Session, book: str, kept: Mapping[str, str]) -> None:
    """Let what was taken back before it came be named by its kept id; `kept` has the ids by other form."""
    named = (ActRow.book == book, among(session, ActRow.target, kept))
    for target in session.scalars(select(ActRow.target).where(*named).distinct()).all():
        where = (ActRow.book == book, ActRow.target == target)
        session.execute(update(ActRow).where(*where).values(target=kept[str(target)]))
