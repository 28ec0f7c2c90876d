"""What was told beside the checks: acts, changed parts, readings, photos; a show's log."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from seamwalk.store.findings.states import name_of, withdrawn_entries
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import read_salted_text
from seamwalk.store.tables import ActivityRow


@dataclass(frozen=True)
class LogLine:
    """One line of a show's log; `words` are what was told in words, by step, with the note among them."""

    entry: str
    type: str
    by: str
    at: str
    body: dict[str, Any]
    words: dict[str, str]
    paper_by: str | None
    withdrawn: bool


def show_log(session: Session, book_id: str) -> list[LogLine]:
    """All that was told at a show, newest first."""
    return lines_of(session, book_id, session.scalars(told_at(book_id)).all())


def told_at(book_id: str) -> Select[Any]:
    """The rows of a show's log, newest first."""
    return select(ActivityRow).where(ActivityRow.book == book_id).order_by(ActivityRow.idx.desc())


def lines_of(session: Session, book_id: str, rows: Sequence[ActivityRow]) -> list[LogLine]:
    """Some rows of a show's log as they are read."""
    back = withdrawn_entries(session, book_id)
    names = {device: name_of(session, book_id, device) for device in {row.device for row in rows}}
    return [_line(session, row, names[row.device], withdrawn=(row.entry, row.author) in back) for row in rows]


def quarantine(session: Session, book_id: str) -> list[LogLine]:
    """Parts that came out of a wall and have a label, newest first."""
    rows = session.scalars(told_at(book_id).where(ActivityRow.type == "swapped")).all()
    lines = lines_of(session, book_id, rows)
    return [line for line in lines if line.body.get("out") and not line.withdrawn]


def _line(session: Session, row: ActivityRow, by: str, *, withdrawn: bool) -> LogLine:
    def text(name: str | None) -> str:
        return read_salted_text(read_blob(session, row.book, name)) or ""

    words = {step: text(name) for step, name in (row.body.get("text_blobs") or {}).items()}
    if row.body.get("note_blob"):
        words["note"] = text(row.body["note_blob"])
    paper = row.body.get("paper")
    return LogLine(
        row.entry,
        row.type,
        by,
        row.at,
        row.body,
        words,
        text(paper["by_blob"]) if paper else None,
        withdrawn,
    )
