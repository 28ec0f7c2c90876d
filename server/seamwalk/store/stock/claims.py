"""Claims for damage: opened by the office, resting on two looks whose entries anybody can verify."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry
from seamwalk.errors import NotFound
from seamwalk.store.ledger.blobs import keep_blob, read_blob
from seamwalk.store.ledger.books import read_salted_text, salted_text, write_as_office
from seamwalk.store.stock.custody import Breakage, find_source_entry
from seamwalk.store.stock.movement_entries import movement_entries
from seamwalk.store.stock_tables import Item, MovementRow
from seamwalk.store.tables import Book


@dataclass(frozen=True)
class Claim:
    """A claim as it was opened, and against whom."""

    entry: str
    at: str
    body: dict[str, Any]
    against: str


def open_claim(
    session: Session,
    book: Book,
    item: Item,
    breakage: Breakage,
    *,
    against: str,
    reference: str | None,
    deadline: str | None,
    now: datetime,
) -> str:
    """Open a claim for damage of a thing, resting on the looks of its window; return its id."""
    made = breakage.window

    def named(entry: str) -> dict[str, str]:
        return {"book": find_source_entry(session, entry).book.id, "entry": entry}

    body = {
        "item": item.code,
        "part": made.part,
        "after": named(made.after.entry) if made.after else None,
        "seen": named(made.seen.entry),
        "against_blob": keep_blob(session, book.id, salted_text(against)),
        "reference": reference,
        "deadline": deadline,
    }
    return write_as_office(session, book.id, "claim_opened", body, now).id


def claims(session: Session, item: str | None = None) -> list[Claim]:
    """All claims, or those for one thing, newest first."""
    return _claims(session, *([MovementRow.item == item] if item else []))[::-1]


def _claims(session: Session, *where: ColumnElement[bool]) -> list[Claim]:
    return [
        Claim(entry.id, entry.at, entry.body, _against(session, entry))
        for entry, _ in movement_entries(session, MovementRow.type == "claim_opened", *where)
    ]


def _against(session: Session, entry: Entry) -> str:
    return read_salted_text(read_blob(session, entry.book, entry.body["against_blob"])) or ""


def find_claim(session: Session, entry: str) -> Claim:
    """A claim by its entry; raise NotFound."""
    found = next(iter(_claims(session, MovementRow.entry == entry)), None)
    if found is None:
        raise NotFound(f"claim {entry} is not here", "Choose one from the page of its thing.")
    return found
