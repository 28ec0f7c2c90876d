"""A walk on paper: every stop with boxes to tick, to be copied into a phone later."""

from flask import abort, render_template

from seamwalk.domain.frozen import read_walk
from seamwalk.printing.places import check_in_words, place_in_words
from seamwalk.store.db import db
from seamwalk.store.findings.states import checks_file
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.lookups import plan_of, show_book


@office.get("/shows/<name:name>/walls/<wall:wall>/blank/<walk>")
@area("shows")
def blank(name: str, wall: str, walk: str) -> str:
    """One walk of a wall as a printable blank."""
    t = translator("office", language())
    session = db.session()
    book = show_book(session, name)
    plan = plan_of(session, book, wall)
    found = read_walk(checks_file(session, plan), walk)
    if not found:
        abort(404)
    stops = [
        [(place_in_words(place, t), [check_in_words(check, t) for check in checks]) for place, checks in stop]
        for stop in found
    ]
    return render_template("print/blank.html", book=book, plan=plan, walk=walk, stops=stops)
