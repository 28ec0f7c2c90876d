"""A show's log: incidents, procedures walked, parts changed, what was read off; and photos."""

import json

from flask import Response, render_template

from seamwalk.procedures import load_procedures
from seamwalk.store.db import db
from seamwalk.store.findings.stops import stops_of
from seamwalk.store.ledger.books import current_plans
from seamwalk.store.show.activity_log import lines_of, quarantine, show_log, told_at
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.downloads import download
from seamwalk.web.office.lookups import show_book
from seamwalk.web.office.paging import page_of

_LINES = 500


@office.get("/shows/<name:name>/log")
@area("shows")
def log(name: str) -> str:
    """What was told at a show beside the checks, newest first."""
    session = db.session()
    book = show_book(session, name)
    page = page_of(told_at(book.id), _LINES)
    texts = translator("procedures", language())
    titles = {key: texts(f"{key}.title") for key in load_procedures()}
    return render_template(
        "office/log.html",
        book=book,
        page=page,
        lines=lines_of(session, book.id, page.items),
        parts=quarantine(session, book.id),
        stops=stops_of(session, book.id),
        titles=titles,
        walls={plan.wall for plan in current_plans(session, book.id)},
    )


@office.get("/shows/<name:name>/log.<table:fmt>")
@area("shows")
def log_file(name: str, fmt: str) -> Response:
    """The whole log as a table, oldest first; what an entry holds beside words is JSON."""
    session = db.session()
    book = show_book(session, name)
    lines = show_log(session, book.id)
    rows = [["at", "by", "type", "taken_back", "words", "body", "entry"]]
    for line in reversed(lines):
        words = "; ".join(f"{step}: {text}" for step, text in line.words.items())
        withdrawn = "yes" if line.withdrawn else ""
        rows.append([line.at, line.by, line.type, withdrawn, words, json.dumps(line.body), line.entry])
    return download(rows, fmt, f"{name}-log", book.title, times=("at",))
