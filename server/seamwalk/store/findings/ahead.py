"""Oks of a wall that were given ahead of their turn, by whom and why, and what was not there yet."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.domain.findings.findings import CheckState
from seamwalk.store.findings.pace import standing_oks
from seamwalk.store.findings.states import name_of, withdrawn_entries
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import read_salted_text
from seamwalk.store.rows import among
from seamwalk.store.tables import ActCheck, ActRow

# sorts behind every time
_NEVER = "~"


@dataclass(frozen=True)
class AheadOks:
    """Checks that one entry found ok ahead of their turn.

    `missing` were not ok before it, by the phones' clocks; `held`: a stop held the place.
    """

    by: str
    at: str
    reason: str
    note: str | None
    held: bool
    checks: tuple[str, ...]
    missing: tuple[str, ...]


def ahead_oks(session: Session, book_id: str, states: Mapping[str, CheckState]) -> list[AheadOks]:
    """Those that these states rest on. What turns out to have been looked at before takes the mark away."""
    rows = {entry: row for entry, row in standing_oks(session, book_id, states).items() if row.ahead}
    wanted = {check for row in rows.values() for check in (row.ahead or {}).get("missing") or ()}
    first_ok = _first_ok(session, book_id, wanted)
    found = (_of_entry(session, row, first_ok, _standing_at(row, states)) for row in rows.values())
    return sorted((item for item in found if item.missing or item.held), key=lambda item: item.at)


def _standing_at(row: ActRow, states: Mapping[str, CheckState]) -> tuple[str, ...]:
    return tuple(check for check in row.checks if check in states and row.entry in states[check].standing)


def _of_entry(
    session: Session, row: ActRow, first_ok: Mapping[str, str], checks: tuple[str, ...]
) -> AheadOks:
    ahead = row.ahead or {}
    missing = (check for check in ahead.get("missing") or () if first_ok.get(check, _NEVER) > row.at)
    note = read_salted_text(read_blob(session, row.book, row.note_blob))
    by, held = name_of(session, row.book, row.device), bool(ahead.get("held"))
    return AheadOks(by, row.at, ahead["reason"], note, held, checks, tuple(missing))


def _first_ok(session: Session, book_id: str, checks: Collection[str]) -> dict[str, str]:
    """When each of some checks was first found ok by an entry that stands, by the phones' clocks."""
    placed = (ActRow.book == ActCheck.book) & (ActRow.idx == ActCheck.idx)
    where = (ActCheck.book == book_id, among(session, ActCheck.check, checks), ActRow.kind == "ok")
    columns = (ActCheck.check, ActRow.entry, ActRow.other, ActRow.author, ActRow.at)
    back = withdrawn_entries(session, book_id)
    first: dict[str, str] = {}
    for check, entry, other, author, at in session.execute(
        select(*columns).join(ActRow, placed).where(*where)
    ):
        if not {(entry, author), (other, author)} & back:
            first[check] = min(first.get(check, at), at)
    return first
