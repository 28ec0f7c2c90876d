"""A book as an export file."""

from collections.abc import Iterator

from sqlalchemy import ColumnElement, exists, func, select
from sqlalchemy.orm import Session

from seamwalk.book.excerpt import write_excerpt
from seamwalk.book.export import export_lines
from seamwalk.store.ledger.intake import newest_head
from seamwalk.store.tables import Blob, BlobUse, Book, LedgerEntry


def export_book(session: Session, book: Book) -> Iterator[str]:
    """Write a book line by line, with its newest head and its blobs."""
    head = newest_head(session, book.id)
    where = (LedgerEntry.book == book.id, LedgerEntry.idx < head.size)
    entries = select(LedgerEntry.jws).where(*where).order_by(LedgerEntry.idx)
    return export_lines(
        book=book.id,
        epoch=head.epoch,
        entries=session.scalars(entries.execution_options(yield_per=500)),
        size=head.size,
        head=head.jws,
        blobs=_blobs(session, book.id),
        blob_count=session.scalar(select(func.count()).select_from(Blob).where(*_named(book.id))) or 0,
    )


def excerpt_of(session: Session, book: Book, entry_id: str) -> str:
    """The excerpt of one entry under the newest head; raise NotFound."""
    head = newest_head(session, book.id)
    where = (LedgerEntry.book == book.id, LedgerEntry.idx < head.size)
    entries = session.scalars(select(LedgerEntry.jws).where(*where).order_by(LedgerEntry.idx)).all()
    return write_excerpt(entries, head.jws, entry_id)


def _named(book_id: str) -> tuple[ColumnElement[bool], ...]:
    """The conditions that a blob of a book is here and that an entry names it."""
    used = (BlobUse.book == Blob.book, BlobUse.sha256 == Blob.sha256)
    return Blob.book == book_id, Blob.data.is_not(None), exists().where(*used)


def _blobs(session: Session, book_id: str) -> Iterator[tuple[str, bytes]]:
    query = select(Blob.sha256, Blob.data).where(*_named(book_id))
    for row in session.execute(query.order_by(Blob.sha256).execution_options(yield_per=10)):
        yield row.sha256, row.data or b""
