"""A show's log: incidents, procedures walked, parts changed, what was read off; and photos."""

import json

from flask import Response, render_template

from seamwalk.procedures import load_procedures
from seamwalk.store.show.activity_log import count_log_lines, quarantine, show_log
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.downloads import download
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services

_MAX_LINES = 500


@office.get("/shows/<name:name>/log")
@area("shows")
def log(name: str) -> str:
    """What was told at a show beside the checks, newest first."""
    with services().store.read() as session:
        book = show_book(session, name)
        lines = show_log(session, book.id, limit=_MAX_LINES)
        texts = translator("procedures", language())
        titles = {key: texts(f"{key}.title") for key in load_procedures()}
        return render_template(
            "office/log.html",
            book=book,
            lines=lines,
            older=count_log_lines(session, book.id) - len(lines),
            parts=quarantine(session, book.id),
            titles=titles,
        )


@office.get("/shows/<name:name>/log.<table:fmt>")
@area("shows")
def log_file(name: str, fmt: str) -> Response:
    """The whole log as a table, oldest first; what an entry holds beside words is JSON."""
    with services().store.read() as session:
        book = show_book(session, name)
        lines = show_log(session, book.id)
    rows = [["at", "by", "type", "taken_back", "words", "body", "entry"]]
    for line in reversed(lines):
        words = "; ".join(f"{step}: {text}" for step, text in line.words.items())
        withdrawn = "yes" if line.withdrawn else ""
        rows.append([line.at, line.by, line.type, withdrawn, words, json.dumps(line.body), line.entry])
    return download(rows, fmt, f"{name}-log", book.title)
