"""The lists that a show's phones get, of stock and of its prep: worked out first, written when still true.

Phones count what their book says after a list on top of it. So nothing of what a list rests on may come in
between its making and its entry; and making one takes seconds for a large stock, which must not hold up
everybody who writes.
"""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seamwalk.domain.frozen import canonical_json
from seamwalk.domain.stock.files import At, ListedCase, PrepFile, StockFile, StockItem
from seamwalk.domain.stock.prep import PrepCase
from seamwalk.errors import Conflict
from seamwalk.store.engine import Store
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.books import current_plans, list_books, write_as_office
from seamwalk.store.ledger.intake import lock_book
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.locations import Location, locate
from seamwalk.store.stock.prep import CaseLoad, ShowPrep, show_prep
from seamwalk.store.tables import ActRow, Book, Item, ItemLabel, MovementRow, RevokedLabel

_TRIES = 3


@dataclass(frozen=True)
class FrozenList:
    """A list for a show as the bytes that are kept, how many it names, and what it rests on."""

    show: str
    kind: str
    file: bytes
    count: int
    rests_on: tuple[Any, ...]


def freeze_stock(session: Session, show: str) -> FrozenList:
    """Work the stock list out: outside of any write, which would hold up every other one."""
    rests_on = _standing(session, show)
    file = stock_file(session, show)
    return FrozenList(show, "stock", file, len(json.loads(file)["items"]), rests_on)


def freeze_prep(session: Session, show: str, lift_kg: float | None) -> FrozenList:
    """Work a show's prep out: outside of any write, which would hold up every other one."""
    rests_on = _standing(session, show)
    made = show_prep(session, show, lift_kg)
    return FrozenList(show, "prep", prep_file(made), len(made.prep.truck_order()), rests_on)


def publish(store: Store, freeze: Callable[[Session], Sequence[FrozenList]], now: datetime) -> list[int]:
    """Give a show's phones the lists that `freeze` works out; return how many each of them names.

    Lists that are overtaken are worked out anew; raise Conflict when that happens again and again.
    """
    for _ in range(_TRIES):
        with store.read() as session:
            lists = freeze(session)
        with store.write() as session:
            if all(_stands(session, frozen) for frozen in lists):
                for frozen in lists:
                    _write(session, frozen, now)
                return [frozen.count for frozen in lists]
    raise Conflict("stock: it changes faster than its list is made", "Send it again in a moment.")


def _stands(session: Session, frozen: FrozenList) -> bool:
    lock_book(session, frozen.show)
    return _standing(session, frozen.show) == frozen.rests_on


def _write(session: Session, frozen: FrozenList, now: datetime) -> None:
    body = {f"{frozen.kind}_file": keep_blob(session, frozen.show, frozen.file)}
    write_as_office(session, frozen.show, f"{frozen.kind}_listed", body, now)


def _standing(session: Session, show: str) -> tuple[Any, ...]:
    """What tells whether the stock or a show's plans changed: how far their entries go."""
    company = select(Book.id, Book.frontier).where(Book.kind == "company").order_by(Book.id)
    newest = select(func.max(MovementRow.idx)).where(MovementRow.book == Book.id).scalar_subquery()
    withdrawn = select(func.count()).where(ActRow.book == Book.id, ActRow.target.is_not(None))
    traces = select(Book.id, newest, withdrawn.scalar_subquery()).order_by(Book.id)
    plans = [plan.entry for plan in current_plans(session, show)]
    return (*(tuple(row) for query in (company, traces) for row in session.execute(query)), plans)


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


def _case_of(where: Location | None) -> str | None:
    """The case that a thing lies in now; None for one that stands in a wall or lies at the bench."""
    return where.case if where is not None and where.place is None else None


def _whereabouts(where: Location | None, show: str) -> At:
    if where is None or where.is_home:
        return "home"
    return "here" if where.show == show else "away"


def prep_file(made: ShowPrep) -> bytes:
    """A show's prep as its phones read it."""
    file: PrepFile = {
        "v": 1,
        "cases": [_listed(case, made.loaded[case.case]) for case in made.prep.cases],
        "truck": made.prep.truck_order(),
        "picks": [
            {
                "kind": pick.kind,
                "of": pick.of,
                "in_walls": pick.in_walls,
                "spares": pick.spares,
                "count": pick.in_walls + pick.spares,
            }
            for pick in made.picks
        ],
    }
    return canonical_json(file)


def _listed(case: PrepCase, loaded: CaseLoad) -> ListedCase:
    return {
        "case": case.case,
        "wall": case.wall,
        "tile_type": case.tile_type,
        "batch": case.batch,
        "tiles": case.tiles,
        "columns": list(case.columns),
        "first": case.first,
        "troubles": [{"key": trouble.key, "about": list(trouble.about)} for trouble in case.troubles],
        "substitute": case.substitute,
        "mass_kg": loaded.mass_kg,
        "people": loaded.people,
    }
