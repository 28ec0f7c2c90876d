"""The company's stock: labels that are registered, and what a label stands for."""

import json
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seamwalk.domain.frozen import canonical_json
from seamwalk.domain.stock.codes import LETTER_OF_KIND, MAX_SERIAL, Code, parse_code
from seamwalk.domain.stock.files import At, StockFile, StockItem
from seamwalk.domain.stock.stock_list import Known, StockRow
from seamwalk.errors import Conflict, NotFound
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.books import list_books, open_book, write_as_office, write_many_as_office
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.locations import Location, locate
from seamwalk.store.stock_tables import Item, ItemLabel, RevokedLabel
from seamwalk.store.tables import Book


def company_book(session: Session, title: str, now: datetime) -> Book:
    """The company's book, opened when it is first needed."""
    books = list_books(session, "company")
    return books[0] if books else open_book(session, kind="company", title=title, slug="company", now=now)


def register_items(
    session: Session, book: Book, *, prefix: str, kind: str, count: int, tile_type: str | None, now: datetime
) -> list[Code]:
    """Give so many new labels out and write them into the book; raise Conflict when the serials end."""
    codes = list(_next_codes(session, book, prefix, kind, count))
    bodies = [{"item": c.text, "kind": kind, "tile_type": tile_type, "home_case": None} for c in codes]
    write_many_as_office(session, book.id, [("item_registered", body) for body in bodies], now)
    return codes


def known_stock(session: Session, prefix: str) -> Known:
    """What is registered, for reading a list against it."""
    books = [book.id for book in list_books(session, "company")]
    rows = session.execute(select(Item.code, Item.kind, Item.tile_type).where(Item.book.in_(books)))
    return Known({code: (kind, tile_type) for code, kind, tile_type in rows}, prefix)


def import_stock(session: Session, book: Book, rows: Sequence[StockRow], known: Known, now: datetime) -> int:
    """Write a list's things into the book, new labels given out; return how many entries that took."""
    bodies: list[tuple[str, dict[str, Any]]] = []
    fresh = {kind: _fresh(session, book, known.prefix, kind, rows) for kind in {row.kind for row in rows}}
    for row in sorted(rows, key=lambda row: row.kind != "case"):
        code = row.code or next(fresh[row.kind]).text
        if code not in known.items:
            fields = {"kind": row.kind, "tile_type": row.tile_type, "home_case": row.home_case}
            bodies.append(("item_registered", {"item": code, **fields}))
        if row.batch or row.maker_serial:
            fields = {"batch": row.batch, "maker_serial": row.maker_serial}
            bodies.append(("item_described", {"item": code, **fields}))
    write_many_as_office(session, book.id, bodies, now)
    return len(bodies)


def stock_file(session: Session, show: str) -> bytes:
    """What phones of a show need to know of labels: each thing, where it is, what later labels lead to."""
    books = [book.id for book in list_books(session, "company")]
    things = session.scalars(select(Item).where(Item.book.in_(books)).order_by(Item.code))
    again = session.execute(select(ItemLabel.label, ItemLabel.item).where(ItemLabel.book.in_(books)))
    where, states = locate(session), bench_states(session)
    items = [
        StockItem(
            thing.code,
            thing.tile_type,
            thing.home_case,
            thing.batch,
            _whereabouts(where.get(thing.code), show),
            _case_of(where.get(thing.code)),
            states[thing.code].status if thing.code in states else "in_stock",
            states[thing.code].worked_by if thing.code in states else "",
        )
        for thing in things
    ]
    revoked = session.execute(
        select(RevokedLabel.label, RevokedLabel.reason).where(RevokedLabel.book.in_(books))
    )
    file: StockFile = {
        "v": 2,
        "items": items,
        "labels": {row.label: row.item for row in again},
        "revoked": {row.label: row.reason for row in revoked},
    }
    return canonical_json(file)


def publish_stock_list(session: Session, book_id: str, now: datetime) -> int:
    """Give a show's phones the stock as it is now; return how many things it names."""
    data = stock_file(session, book_id)
    body = {"stock_file": keep_blob(session, book_id, data)}
    write_as_office(session, book_id, "stock_listed", body, now)
    return len(json.loads(data)["items"])


def _case_of(where: Location | None) -> str | None:
    """The case that a thing lies in now; None for one that stands in a wall or lies at the bench."""
    return where.case if where is not None and where.place is None else None


def _whereabouts(where: Location | None, show: str) -> At:
    if where is None or where.is_home:
        return "home"
    return "here" if where.show == show else "away"


def relabel_item(session: Session, book: Book, old: Code, now: datetime) -> Code:
    """Give a thing another label of its kind; its old ones stay good. Raise NotFound for one unknown."""
    item = find_item(session, old)
    if item is None:
        raise NotFound(f"label {old.grouped} is not registered", "Register it first, or look at its code.")
    (code,) = _next_codes(session, book, old.prefix, old.kind, 1)
    write_many_as_office(
        session, book.id, [("item_relabelled", {"item": item.code, "label": code.text})], now
    )
    return code


def revoke_labels(session: Session, book: Book, codes: Sequence[Code], reason: str, now: datetime) -> None:
    """Say of labels that they must not be used any more."""
    bodies = [("label_revoked", {"label": code.text, "reason": reason}) for code in codes]
    write_many_as_office(session, book.id, bodies, now)


def revocation(session: Session, code: Code) -> str | None:
    """Why a label was revoked, None for one that was not."""
    found = (session.get(RevokedLabel, (book.id, code.text)) for book in list_books(session, "company"))
    return next((row.reason for row in found if row is not None), None)


def find_item(session: Session, code: Code) -> Item | None:
    """What a label stands for, also one that was replaced."""
    for book in list_books(session, "company"):
        again = session.get(ItemLabel, (book.id, code.text))
        item = session.get(Item, (book.id, again.item if again else code.text))
        if item is not None:
            return item
    return None


def _fresh(session: Session, book: Book, prefix: str, kind: str, rows: Sequence[StockRow]) -> Iterator[Code]:
    """New codes of a kind for the rows that have none, beyond those that the list itself names."""
    own = [parse_code(row.code).serial for row in rows if row.code and row.kind == kind]
    wanted = sum(not row.code for row in rows if row.kind == kind)
    return _next_codes(session, book, prefix, kind, wanted, after=max(own, default=0))


def _next_codes(
    session: Session, book: Book, prefix: str, kind: str, count: int, after: int = 0
) -> Iterator[Code]:
    letter = LETTER_OF_KIND[kind]
    first = max(after, _last_serial(session, book, prefix + letter)) + 1
    if first + count - 1 > MAX_SERIAL:
        raise Conflict(f"count: serials of {kind} end at {MAX_SERIAL}", "Use another label prefix.")
    return (Code(prefix, letter, serial) for serial in range(first, first + count))


def _last_serial(session: Session, book: Book, start: str) -> int:
    columns = (
        (Item.code, (Item.book == book.id, Item.code.startswith(start))),
        (ItemLabel.label, (ItemLabel.book == book.id, ItemLabel.label.startswith(start))),
    )
    found = (session.scalar(select(func.max(column)).where(*where)) for column, where in columns)
    return max((parse_code(text).serial for text in found if text), default=0)
