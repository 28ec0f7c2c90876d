"""How things stand with the bench, across all books."""

from collections import defaultdict
from collections.abc import Collection
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from seamwalk.domain.stock.bench import BenchState, Step, bench_state
from seamwalk.store.projections.movements import HARMLESS
from seamwalk.store.rows import among
from seamwalk.store.stock.locations import not_withdrawn
from seamwalk.store.stock_tables import HAS_TOLD, MovementRow


def bench_states(session: Session, codes: Collection[str] | None = None) -> dict[str, BenchState]:
    """The state of everything that ever was at the bench or in quarantine: these things, or all."""
    steps: dict[str, list[Step]] = defaultdict(list)
    for movement in session.scalars(_steps(session, codes)):
        what, _, result = (movement.told or "").partition("/")
        steps[movement.item].append(Step(movement.entry, movement.author, what, result))
    return {item: bench_state(own) for item, own in steps.items()}


def _steps(session: Session, codes: Collection[str] | None) -> Select[Any]:
    query = select(MovementRow).where(HAS_TOLD, MovementRow.told.not_in(HARMLESS), not_withdrawn())
    if codes is not None:
        query = query.where(among(session, MovementRow.item, codes))
    return query.order_by(MovementRow.seen_at, MovementRow.book, MovementRow.idx)
