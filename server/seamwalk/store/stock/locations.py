"""Where things were last seen, across all books."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from sqlalchemy import ColumnElement, exists, func, select
from sqlalchemy.orm import Session

from seamwalk.store.projections.movements import HIRE, PLACING
from seamwalk.store.rows import among
from seamwalk.store.stock_tables import MovementRow
from seamwalk.store.tables import ActRow


@dataclass(frozen=True)
class Location:
    """The newest word of where a thing is; a thing in a case is wherever its case went since.

    `show` is the book of the show that it is out at, None at home; `place` is a place in a wall, the bench,
    or away on hire.
    """

    item: str
    case: str | None
    show: str | None
    place: str | None
    stage: str | None
    seen_at: str
    book: str
    entry: str
    device: str

    @property
    def is_home(self) -> bool:
        """Whether it is in the warehouse, as far as anybody wrote down."""
        return self.show is None and self.place != HIRE


def not_withdrawn() -> ColumnElement[bool]:
    """The condition that a movement's author did not withdraw its entry."""
    same = (
        ActRow.book == MovementRow.book,
        ActRow.target == MovementRow.entry,
        ActRow.author == MovementRow.author,
    )
    return ~exists().where(*same)


def locate(session: Session, codes: Collection[str] | None = None) -> dict[str, Location]:
    """Where things were last seen, by code: those with these codes, or all; a thing never seen is left out.

    Two queries: the newest placing movement of each thing and of the cases that they lie in, and each case's
    last return; then things follow their cases.
    """
    found = _newest(session, codes)
    cases = {where.case for where in found.values() if where.case} - set(found)
    of_cases = found | (_newest(session, cases) if codes is not None and cases else {})
    back = _back_at(session, {where.case for where in found.values() if where.case})
    return {item: _with_case(where, of_cases, back) for item, where in found.items()}


def _with_case(where: Location, cases: dict[str, Location], back: dict[str, str]) -> Location:
    """Let a thing go where its case went since; what went out itself comes back only by being seen."""
    case = cases.get(where.case or "")
    if case is None or case.seen_at < where.seen_at:
        return where
    if where.show is not None and back.get(case.item, "") > where.seen_at:
        return replace(where, case=None)
    return replace(where, show=case.show, stage=case.stage)


def _back_at(session: Session, cases: Collection[str]) -> dict[str, str]:
    """When each case came back last."""
    query = select(MovementRow.item, func.max(MovementRow.seen_at)).where(MovementRow.stage == "return")
    query = query.where(among(session, MovementRow.item, cases), not_withdrawn()).group_by(MovementRow.item)
    return {row[0]: row[1] for row in session.execute(query)}


_COLUMNS = (
    MovementRow.item,
    MovementRow.case_code,
    MovementRow.show,
    MovementRow.place,
    MovementRow.stage,
    MovementRow.seen_at,
    MovementRow.book,
    MovementRow.entry,
    MovementRow.device,
)


def _newest(session: Session, codes: Collection[str] | None) -> dict[str, Location]:
    """The newest placing movement of each thing that was not withdrawn: by time, then by place in its book.

    A window function ranks the rows of each thing; rank 1 is kept.
    """
    order = func.row_number().over(
        partition_by=MovementRow.item,
        order_by=(MovementRow.seen_at.desc(), MovementRow.book, MovementRow.idx.desc()),
    )
    query = select(*_COLUMNS, order.label("rank")).where(MovementRow.type.in_(PLACING), not_withdrawn())
    if codes is not None:
        query = query.where(among(session, MovementRow.item, codes))
    ranked = query.subquery()
    columns = (column for column in ranked.c if column.name != "rank")
    rows = session.execute(select(*columns).where(ranked.c.rank == 1))
    return {row[0]: Location(*row) for row in rows}
