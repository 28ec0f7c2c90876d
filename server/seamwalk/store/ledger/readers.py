"""What one reader gets of a book: its texts where its role reads them, leaf hashes of the rest."""

from collections.abc import Collection
from contextlib import closing
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, exists, or_, select, true
from sqlalchemy.orm import Session

from seamwalk.book.readers import READS, reads_all
from seamwalk.book.roles import Role
from seamwalk.store.ledger.intake import newest_head
from seamwalk.store.rows import among
from seamwalk.store.tables import BlobUse, Device, LedgerEntry

Line = str | dict[str, str]
MAX_TEXTS = 500
_LEAF_BYTES = 80


@dataclass(frozen=True)
class Reader:
    """Who reads: a role, and the devices of the person that it is."""

    role: Role
    devices: frozenset[str]

    @property
    def reads_all(self) -> bool:
        """Whether nothing is kept from it."""
        return reads_all(self.role)

    def may(self) -> ColumnElement[bool]:
        """The condition that it may read a ledger's row."""
        if self.reads_all:
            return true()
        return or_(LedgerEntry.type.in_(READS[self.role]), LedgerEntry.device.in_(self.devices))


@dataclass(frozen=True)
class Page:
    """Lines from an index on, whether more follow, and the book's head."""

    entries: list[Line]
    more: bool
    head: str


def reader_of(session: Session, device: Device) -> Reader:
    """The reader behind an admitted device."""
    same = select(Device.device).where(Device.book == device.book, Device.person == device.person)
    return Reader(Role(device.role), frozenset(session.scalars(same)))


def page(session: Session, book_id: str, after: int, reader: Reader, limit_bytes: int = 1_000_000) -> Page:
    """Lines under the newest head from index `after` on: about `limit_bytes`, at least one if any.

    A line is an entry's text, or `{"leaf": id}` of one that the reader may not read.
    """
    head = newest_head(session, book_id)
    where = (LedgerEntry.book == book_id, LedgerEntry.idx >= after, LedgerEntry.idx < head.size)
    query = select(LedgerEntry.jws, LedgerEntry.entry, reader.may()).where(*where).order_by(LedgerEntry.idx)
    lines: list[Line] = []
    used = 0
    with closing(session.execute(query.execution_options(yield_per=200))) as rows:
        for jws, leaf, may in rows:
            size = len(jws) if may else _LEAF_BYTES
            if lines and used + size > limit_bytes:
                return Page(lines, True, head.jws)
            lines.append(jws if may else {"leaf": leaf})
            used += size
    return Page(lines, False, head.jws)


def texts(
    session: Session, book_id: str, reader: Reader, indexes: Collection[int], limit_bytes: int = 1_000_000
) -> list[dict[str, Any]]:
    """The texts at these indexes that the reader may read now, as `{"index", "entry"}`."""
    where = (LedgerEntry.book == book_id, among(session, LedgerEntry.idx, indexes), reader.may())
    query = select(LedgerEntry.idx, LedgerEntry.jws).where(*where).order_by(LedgerEntry.idx)
    found: list[dict[str, Any]] = []
    used = 0
    for idx, jws in session.execute(query).all():
        used += len(jws)
        if found and used > limit_bytes:
            break
        found.append({"index": idx, "entry": jws})
    return found


def may_read_blob(session: Session, book_id: str, reader: Reader, name: str) -> bool:
    """Whether the reader reads an entry that names a blob; to whoever reads all, all are open."""
    if reader.reads_all:
        return True
    same = (LedgerEntry.book == BlobUse.book) & (LedgerEntry.idx == BlobUse.idx)
    named = (BlobUse.book == book_id, BlobUse.sha256 == name, same, reader.may())
    return bool(session.scalar(select(exists().where(*named))))
