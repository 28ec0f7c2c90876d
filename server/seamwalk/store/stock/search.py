"""Finding things of the stock by what is known of them, searches that are kept, edits of many at once."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from seamwalk.domain.stock.bench import BenchState
from seamwalk.errors import Conflict, NotFound
from seamwalk.store.ledger.books import list_books, write_as_office
from seamwalk.store.rows import among, holds
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.locations import Location, locate
from seamwalk.store.stock_tables import Item, ItemChange, SavedList
from seamwalk.store.tables import Book

MAX_EDITED = 5000
EDITABLE = ("batch", "home_case", "tile_type")


@dataclass(frozen=True)
class ItemQuery:
    """What is looked for: a text that code, type, batch, serial or home case holds; a kind; a state."""

    text: str = ""
    kind: str = ""
    status: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether it asks for everything."""
        return not (self.text or self.kind or self.status)


@dataclass(frozen=True)
class Row:
    """A thing with where it was last seen and how it stands with the bench."""

    item: Item
    where: Location | None
    state: BenchState


def search(session: Session, query: ItemQuery, limit: int | None = None) -> tuple[list[Row], int]:
    """The things that a query finds, by code, at most `limit`, and how many there are in all."""
    states = bench_states(session)
    found = _codes(session, query, states)
    shown = list(session.scalars(found.limit(limit)))
    counted = select(func.count()).select_from(found.order_by(None).subquery())
    total = len(shown) if limit is None else session.scalar(counted) or 0
    books = [book.id for book in list_books(session, "company")]
    named = select(Item).where(Item.book.in_(books), among(session, Item.code, shown))
    items = session.scalars(named.order_by(Item.code)).all()
    where = locate(session, None if limit is None else shown)
    rows = [Row(item, where.get(item.code), states.get(item.code, BenchState())) for item in items]
    return rows, total


def codes_found(session: Session, query: ItemQuery) -> list[str]:
    """The codes of all things that a query finds."""
    return list(session.scalars(_codes(session, query, bench_states(session))))


def _codes(session: Session, query: ItemQuery, states: dict[str, BenchState]) -> Select[Any]:
    """The query for the codes: every word is in some column; `in_stock` is all that the bench has not."""
    books = [book.id for book in list_books(session, "company")]
    found = select(Item.code).where(Item.book.in_(books)).order_by(Item.code)
    for word in query.text.split():
        plain = word.replace("-", "")
        columns = (Item.tile_type, Item.batch, Item.maker_serial)
        texts = [holds(session, column, word) for column in columns]
        codes = [holds(session, column, plain) for column in (Item.code, Item.home_case)]
        found = found.where(or_(*texts, *(codes if plain else ())))
    if query.kind:
        found = found.where(Item.kind == query.kind)
    if query.status:
        own = [code for code, state in states.items() if state.status == query.status]
        other = [code for code, state in states.items() if state.status != "in_stock"]
        named = among(session, Item.code, other if query.status == "in_stock" else own)
        found = found.where(~named if query.status == "in_stock" else named)
    return found


def edit_items(
    session: Session, book: Book, codes: Sequence[str], field: str, value: str | None, now: datetime
) -> str:
    """Set a field of many things in one entry; return its id. Raise Conflict for none or too many."""
    if not 0 < len(codes) <= MAX_EDITED:
        message = f"items: {len(codes)} things cannot be edited at once"
        raise Conflict(message, f"Choose 1 to {MAX_EDITED}.")
    if field == "home_case" and value is not None and session.get(Item, (book.id, value)) is None:
        raise NotFound(f"value: case {value} is not registered", "Register the case first.")
    body = {"items": list(codes), "field": field, "value": value, "undoes": None}
    return write_as_office(session, book.id, "items_edited", body, now).id


def undo_edit(session: Session, book: Book, edit: str, now: datetime) -> tuple[int, int]:
    """Take an edit back; return how many things it had changed, and how many got back what they were."""
    changed = _changes(session, book, edit)
    if not changed:
        raise NotFound(f"edit {edit} changed nothing here", "Choose one from the list of edits.")
    field = changed[0].field
    body = {"items": [row.item for row in changed], "field": field, "value": None, "undoes": edit}
    undo = write_as_office(session, book.id, "items_edited", body, now)
    session.flush()
    return len(changed), len(_changes(session, book, undo.id))


def edits(session: Session, limit: int = 20) -> list[dict[str, Any]]:
    """The newest edits: entry, field, how many things, and one of the values that they got."""
    query = select(
        ItemChange.entry,
        ItemChange.field,
        func.count().label("n"),
        func.max(ItemChange.after).label("value"),
        func.max(ItemChange.idx).label("idx"),
    ).group_by(ItemChange.entry, ItemChange.field)
    newest = query.order_by(func.max(ItemChange.idx).desc()).limit(limit)
    return [dict(row._mapping) for row in session.execute(newest)]


def _changes(session: Session, book: Book, edit: str) -> list[ItemChange]:
    where = (ItemChange.book == book.id, ItemChange.entry == edit)
    return list(session.scalars(select(ItemChange).where(*where).order_by(ItemChange.item)))


def save_list(session: Session, name: str, query: ItemQuery) -> None:
    """Keep a search under a name, in place of one that had it."""
    session.merge(SavedList(name=name, query=asdict(query)))


def delete_list(session: Session, name: str) -> None:
    """Forget a kept search; one that is not here is forgotten already."""
    row = session.get(SavedList, name)
    if row is not None:
        session.delete(row)


def saved_lists(session: Session) -> list[tuple[str, ItemQuery]]:
    """The kept searches, by name."""
    rows = session.scalars(select(SavedList).order_by(SavedList.name))
    return [(row.name, ItemQuery(**row.query)) for row in rows]
