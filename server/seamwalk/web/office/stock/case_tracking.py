"""A show's cases as they went out and came back, handovers, and what is missing of this show or of all."""

from flask import Response, abort, render_template
from sqlalchemy.orm import Session

from seamwalk.store.db import db
from seamwalk.store.ledger.books import list_books
from seamwalk.store.stock.case_tracking import (
    STAGES,
    MissingItem,
    cases_at_stage,
    cases_of,
    handovers,
    missing_items,
)
from seamwalk.store.tables import Book
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.downloads import download
from seamwalk.web.office.lookups import show_book

_MISSING = (
    "item",
    "tile_type",
    "show",
    "seen_at",
    "seen_by",
    "place",
    "case",
    "home_case",
    "price",
    "currency",
)


@office.get("/shows/<name:name>/cases")
@area("stock")
def show_cases(name: str) -> str:
    """Every case at prep and at the return, what is missing, and handovers."""
    session = db.session()
    book = show_book(session, name)
    cases = cases_of(session, book.id)
    return render_template(
        "office/cases.html",
        book=book,
        out=cases_at_stage(session, book.id, "prep", cases),
        back=cases_at_stage(session, book.id, "return", cases),
        begun=bool(cases.cases_at("return")),
        missing=[(book, item) for item in missing_items(session, book.id)],
        handovers=handovers(session, book.id),
    )


@office.get("/shows/<name:name>/cases/<stage>.<table:fmt>")
@area("stock")
def show_cases_file(name: str, stage: str, fmt: str) -> Response:
    """The cases of a stage as a table."""
    if stage not in STAGES:
        abort(404)
    session = db.session()
    book = show_book(session, name)
    rows = [["case", "state", "shut", "expected", "there", "missing", "foreign", "double"]]
    for made in cases_at_stage(session, book.id, stage):
        lists = (made.state.missing, made.state.foreign, made.state.doubles)
        counts = [str(len(made.expected)), str(len(made.state.there))]
        row = [made.case, made.state.summary, made.state.shut or "", *counts]
        rows.append([*row, *(" ".join(codes) for codes in lists)])
    return download(rows, fmt, f"{name}-{stage}", f"{book.title}: {stage}")


@office.get("/missing")
@area("stock")
def missing() -> str:
    """What went out to any show and was not seen again, with what it costs."""
    found = _all_missing(db.session())
    return render_template("office/missing.html", missing=found, totals=_totals(found))


@office.get("/missing/missing.<table:fmt>")
@area("stock")
def missing_file(fmt: str) -> Response:
    """The list of what is missing as a table."""
    found = _all_missing(db.session())
    rows = [list(_MISSING)]
    for book, item in found:
        fields = {**item.__dict__, "show": book.title}
        rows.append(["" if fields[name] is None else str(fields[name]) for name in _MISSING])
    return download(rows, fmt, "missing", "Missing", times=("seen_at",), places=("place",))


def _all_missing(session: Session) -> list[tuple[Book, MissingItem]]:
    shows = list_books(session, "show")
    found = [(book, item) for book in shows for item in missing_items(session, book.id)]
    return sorted(found, key=lambda pair: pair[1].seen_at, reverse=True)


def _totals(found: list[tuple[Book, MissingItem]]) -> dict[str, float]:
    """What the missing cost, by currency, as far as the company has said."""
    totals: dict[str, float] = {}
    for _, item in found:
        if item.price is not None and item.currency:
            totals[item.currency] = totals.get(item.currency, 0.0) + item.price
    return totals
