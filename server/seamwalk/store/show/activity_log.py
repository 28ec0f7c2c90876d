"""What was told beside the checks: acts, changed parts, readings, photos; a show's log."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seamwalk.store.findings.states import name_of
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import read_salted_text
from seamwalk.store.tables import ActivityRow, ActRow


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


def show_log(
    session: Session, book_id: str, types: tuple[str, ...] | None = None, limit: int | None = None
) -> list[LogLine]:
    """What was told at a show, newest first; of some types only, and at most `limit`."""
    query = (
        select(ActivityRow).where(ActivityRow.book == book_id).order_by(ActivityRow.idx.desc()).limit(limit)
    )
    rows = session.scalars(query.where(ActivityRow.type.in_(types)) if types else query).all()
    back = withdrawn_entries(session, book_id)
    names = {device: name_of(session, book_id, device) for device in {row.device for row in rows}}
    return [_line(session, row, names[row.device], withdrawn=(row.entry, row.author) in back) for row in rows]


def count_log_lines(session: Session, book_id: str) -> int:
    """How many lines a show's log has."""
    query = select(func.count()).select_from(ActivityRow).where(ActivityRow.book == book_id)
    return session.scalar(query) or 0


def quarantine(session: Session, book_id: str) -> list[LogLine]:
    """Parts that came out of a wall and have a label, newest first."""
    lines = show_log(session, book_id, ("swapped",))
    return [line for line in lines if line.body.get("out") and not line.withdrawn]


def withdrawn_entries(session: Session, book_id: str) -> set[tuple[str, str]]:
    """Entries of a book that somebody took back, each with whom: only an author's own word counts."""
    query = select(ActRow).where(ActRow.book == book_id, ActRow.target.is_not(None))
    return {(str(act.target), act.author) for act in session.scalars(query)}


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
