"""The bench: what waits there, what it used up, and how often parts fail."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from flask import Response, render_template
from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.domain.sheet.rates import ENOUGH_FAILURES, FailureCount, Interval
from seamwalk.store.db import db
from seamwalk.store.ledger.books import list_books
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.failures import Failures, failures
from seamwalk.store.stock.locations import locate
from seamwalk.store.stock.movement_entries import movement_entries
from seamwalk.store.tables import Item, MovementRow
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.downloads import download
from seamwalk.web.office.stock.rate_drawing import draw_intervals

_PER = 1000
_ORDER = ("quarantined", "in_repair", "awaits_look", "at_maker", "scrapped")


@office.get("/bench")
@area("stock")
def bench() -> str:
    """The queue, what repairs used up and took, and rates with their intervals, each as a plot."""
    session = db.session()
    found = failures(session)
    plots = [(title, draw_intervals(rows)) for title, rows in _rate_groups(found) if rows]
    return render_template(
        "office/bench.html",
        queue=list(_queue(session)),
        repairs=_repairs(session),
        plots=plots,
        enough=ENOUGH_FAILURES,
    )


@office.get("/bench/queue.<table:fmt>")
@area("stock")
def bench_queue_file(fmt: str) -> Response:
    """The queue as a table."""
    rows = [["item", "kind", "tile_type", "batch", "state", "since"]]
    rows += [
        [item.code, item.kind, item.tile_type or "", item.batch or "", status, since]
        for item, status, since in _queue(db.session())
    ]
    return download(rows, fmt, "bench", translator("office", language())("bench.title"), times=("since",))


@office.get("/bench/rates.<table:fmt>")
@area("stock")
def bench_rates_file(fmt: str) -> Response:
    """Every rate with its interval as a table."""
    rows = [["group", "of", "estimate", "low_95", "high_95", "counted"]]
    for title, items in _rate_groups(failures(db.session())):
        rows += [
            [title, name, f"{rate.estimate:.4f}", f"{rate.low:.4f}", f"{rate.high:.4f}", told]
            for name, rate, told in items
        ]
    return download(rows, fmt, "failure-rates", translator("office", language())("bench.rates"))


def _queue(session: Session) -> Iterator[tuple[Item, str, str]]:
    """What is not in stock, what waits longest first within its state."""
    states = {code: state for code, state in bench_states(session).items() if not state.may_go_out}
    books = [book.id for book in list_books(session, "company")]
    items = session.scalars(select(Item).where(Item.book.in_(books), Item.code.in_(list(states)))).all()
    where = locate(session, list(states))

    def since(item: Item) -> str:
        there = where.get(item.code)
        return there.seen_at if there else ""

    for item in sorted(items, key=lambda item: (_ORDER.index(states[item.code].status), since(item))):
        yield item, states[item.code].status, since(item)


def _repairs(session: Session) -> dict[str, Any]:
    """What all repairs came to: how many, minutes in all, and parts used up."""
    used: Counter[str] = Counter()
    results: Counter[str] = Counter()
    minutes = 0
    for entry, _ in movement_entries(
        session, MovementRow.told.is_not(None), MovementRow.type == "item_benched"
    ):
        results[f"{entry.body['step']}.{entry.body['result']}"] += 1
        minutes += entry.body.get("minutes") or 0
        used.update(entry.body.get("used") or {})
    return {"results": sorted(results.items()), "minutes": minutes, "used": used.most_common()}


def _rate_groups(found: Failures) -> list[tuple[str, list[tuple[str, Interval, str]]]]:
    """Rates per 1,000 parts and days by part, batch and place, and shares of pairs; with what was counted."""
    return [
        ("by_part", [_rate(part, learned) for part, learned in found.by_part.items()]),
        (
            "by_batch",
            [
                _rate(f"{part}, {batch}", learned)
                for (part, batch), learned in found.by_batch.items()
                if part in ("module", "electronics_unit", "tile")
            ],
        ),
        ("by_place", [_rate(place, learned) for place, learned in found.by_place.items()]),
        (
            "together",
            [
                (f"{first} → {second}", found.pair(first, second), f"{hits}/{tries}")
                for (first, second), (hits, tries) in found.together.items()
            ],
        ),
    ]


def _rate(name: str, learned: FailureCount) -> tuple[str, Interval, str]:
    rate = learned.rate_per_day()
    scaled = Interval(*(value * _PER for value in (rate.estimate, rate.low, rate.high)))
    return name, scaled, f"{learned.failures}/{learned.part_days:,.0f}"
