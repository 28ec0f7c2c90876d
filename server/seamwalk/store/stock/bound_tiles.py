"""Which tiles of the stock stand in a wall, and who wrote that down."""

from collections import Counter, defaultdict
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.domain.stock.bindings import Binding, current_bindings
from seamwalk.store.findings.states import name_of
from seamwalk.store.stock_tables import BindingRow
from seamwalk.store.tables import ActRow


@dataclass(frozen=True)
class BoundTile:
    """A tile at a place of a wall; `asked` where another one is written down there, or it elsewhere."""

    tile: str
    name: str
    by: str
    at: str
    asked: bool


def bound_tiles(session: Session, book: str, wall: str) -> list[BoundTile]:
    """What stands in a wall, by place."""
    rows = {row.entry: row for row in session.scalars(select(BindingRow).where(BindingRow.book == book))}
    taken_back: dict[str, set[str]] = defaultdict(set)
    targets = select(ActRow.target, ActRow.author).where(ActRow.book == book, ActRow.target.is_not(None))
    for target, author in session.execute(targets):
        taken_back[target or ""].add(author)
    made = (
        Binding(row.entry, row.author, row.wall, row.tile, row.name, tuple(row.replaces), row.other)
        for row in rows.values()
    )
    found = current_bindings(made, taken_back)
    places = Counter((item.wall, item.tile) for item in found)
    names = Counter(item.name for item in found)
    here = sorted((item for item in found if item.wall == wall), key=lambda item: _by_place(item.tile))
    return [
        BoundTile(
            item.tile,
            item.name,
            name_of(session, book, rows[item.entry].device),
            rows[item.entry].at,
            places[item.wall, item.tile] > 1 or names[item.name] > 1,
        )
        for item in here
    ]


def _by_place(tile: str) -> tuple[int, int]:
    column, row = tile.partition("x")[0].split(".")
    return int(column), int(row)
