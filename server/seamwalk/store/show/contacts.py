"""Whom to call at a show: a salted text, so that names and numbers can be erased."""

import json
from dataclasses import asdict, dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.parsing import read_kept
from seamwalk.store.entry_ids import of_type
from seamwalk.store.ledger.blobs import keep_blob, read_blob
from seamwalk.store.ledger.books import read_salted_text, salted_text, write_as_office
from seamwalk.store.tables import LedgerEntry

_TYPE = "contacts_listed"


@dataclass(frozen=True)
class Contact:
    """Somebody to call; `tel` as it is dialled."""

    name: str
    role: str
    tel: str


def contacts(session: Session, book_id: str) -> list[Contact]:
    """The contacts that hold, in the order in which the office wrote them."""
    query = select(LedgerEntry.jws).where(of_type(book_id, _TYPE))
    jws = session.scalars(query.order_by(LedgerEntry.idx.desc()).limit(1)).first()
    if jws is None:
        return []
    text = read_salted_text(read_blob(session, book_id, read_kept(jws).body["contacts_blob"]))
    return [Contact(**item) for item in json.loads(text)] if text else []


def publish_contacts(session: Session, book_id: str, found: list[Contact], now: datetime) -> None:
    """Let these contacts hold from here on."""
    text = json.dumps([asdict(contact) for contact in found], ensure_ascii=False)
    body = {"contacts_blob": keep_blob(session, book_id, salted_text(text))}
    write_as_office(session, book_id, _TYPE, body, now)
