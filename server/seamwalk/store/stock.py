"""The company's stock: labels that are registered, and what a label stands for."""

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seamwalk.domain.codes import LETTER_OF_KIND, MAX_SERIAL, Code, parse_code
from seamwalk.errors import Conflict, NotFound
from seamwalk.store.books import list_books, open_book, write_many_as_office
from seamwalk.store.tables import Book, Item, ItemLabel


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


def find_item(session: Session, code: Code) -> Item | None:
    """What a label stands for, also one that was replaced."""
    for book in list_books(session, "company"):
        again = session.get(ItemLabel, (book.id, code.text))
        item = session.get(Item, (book.id, again.item if again else code.text))
        if item is not None:
            return item
    return None


def _next_codes(session: Session, book: Book, prefix: str, kind: str, count: int) -> Iterator[Code]:
    letter = LETTER_OF_KIND[kind]
    first = _last_serial(session, book, prefix + letter) + 1
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
