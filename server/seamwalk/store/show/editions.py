"""Editions of the procedures: the company's own, and what the phones of a show were given."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.parsing import read_kept
from seamwalk.procedures import built_in
from seamwalk.store.entry_ids import of_type
from seamwalk.store.ledger.blobs import keep_blob, read_blob
from seamwalk.store.ledger.books import list_books, write_as_office
from seamwalk.store.tables import LedgerEntry

_TYPE = "procedures_listed"


def editions(session: Session, book_id: str) -> list[tuple[str, str]]:
    """The editions that a book lists, newest first: the hash of each, and when it was listed."""
    query = select(LedgerEntry.jws).where(of_type(book_id, _TYPE))
    entries = [read_kept(jws) for jws in session.scalars(query.order_by(LedgerEntry.idx.desc()))]
    return [(entry.body["edition_file"], entry.at) for entry in entries]


def company_file(session: Session) -> bytes:
    """The company's newest edition, or the one that comes with the program."""
    for book in list_books(session, "company"):
        for name, _ in editions(session, book.id):
            data = read_blob(session, book.id, name)
            if data is not None:
                return data
    return built_in()


def publish_edition(session: Session, book_id: str, file: bytes, now: datetime) -> str:
    """Let an edition hold in a book from here on; return its hash."""
    name = keep_blob(session, book_id, file)
    write_as_office(session, book_id, _TYPE, {"edition_file": name}, now)
    return name
