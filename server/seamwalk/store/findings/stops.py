"""Stops of a show: what was found, and what became of it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.domain.findings.findings import Fold
from seamwalk.errors import NotFound
from seamwalk.store.entry_ids import kept_ids
from seamwalk.store.findings.states import checks_file, kind_at, name_of, withdrawn_entries
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import current_plans, read_salted_text
from seamwalk.store.projections.check_states import load_fold
from seamwalk.store.tables import ActRow, WallPlan

Stage = Literal["standing", "mended", "released", "taken_back"]


@dataclass(frozen=True)
class StopLine:
    """A stop at one check; `mended` while nobody has let the crew go on whose duty it is there.

    `released_by` and `released_at` are the word of whoever did.
    """

    entry: str
    check: str
    reason: str | None
    note: str | None
    by: str
    at: str
    stage: Stage
    released_by: str | None = None
    released_at: str | None = None

    @property
    def holds(self) -> bool:
        """Whether the crew is still kept from it."""
        return self.stage in ("standing", "mended")


def stops_of(session: Session, book_id: str, wall: str | None = None) -> list[StopLine]:
    """Every stop that was found at a show, or at one wall of it, newest first."""
    query = select(ActRow).where(ActRow.book == book_id, ActRow.weight == "stop").order_by(ActRow.idx.desc())
    found = [
        (row, check) for row in session.scalars(query) for check in row.checks if _is_at(row, check, wall)
    ]
    if not found:
        return []
    fold = load_fold(session, book_id, {check for _, check in found})
    known = _Known(
        fold, _duties(session, book_id), withdrawn_entries(session, book_id), _releases(session, book_id)
    )
    return [_line(session, row, check, known) for row, check in found]


def _is_at(row: ActRow, check: str, wall: str | None) -> bool:
    return kind_at(row, check) == "fault" and (wall is None or check.startswith(f"{wall}/"))


@dataclass(frozen=True)
class _Known:
    """What stops are judged by: findings, duties by wall and kind, what was taken back, releases."""

    fold: Fold
    duties: Mapping[str, Mapping[str, str]]
    withdrawn: set[tuple[str, str]]
    releases: Mapping[tuple[str, str], Sequence[ActRow]]


def _duties(session: Session, book_id: str) -> dict[str, dict[str, str]]:
    """Whose word ends a stop, by wall and kind; walls whose file knows of no releases are left out."""
    return {
        plan.wall: duties for plan in current_plans(session, book_id) for duties in _duties_of(session, plan)
    }


def _duties_of(session: Session, plan: WallPlan) -> Iterator[dict[str, str]]:
    try:
        file = checks_file(session, plan)
    except NotFound:
        return
    if file["v"] != 1:
        yield {key: kind.get("duty", "site") for key, kind in file.get("kinds", {}).items()}


def _releases(session: Session, book_id: str) -> dict[tuple[str, str], list[ActRow]]:
    """Releases by the stop that they name and its check, in the order of the book."""
    rows = session.scalars(
        select(ActRow).where(ActRow.book == book_id, ActRow.kind == "released").order_by(ActRow.idx)
    ).all()
    kept = kept_ids(session, book_id, {name for row in rows for name in row.answers})
    found: dict[tuple[str, str], list[ActRow]] = {}
    for row in rows:
        for name in row.answers:
            found.setdefault((kept.get(name, name), row.checks[0]), []).append(row)
    return found


def _line(session: Session, row: ActRow, check: str, known: _Known) -> StopLine:
    note = read_salted_text(read_blob(session, row.book, row.note_blob))
    told = (row.entry, check, row.reason, note, name_of(session, row.book, row.device), row.at)
    if (row.entry, row.author) in known.withdrawn:
        return StopLine(*told, "taken_back")
    if row.entry in known.fold.state(check).standing:
        return StopLine(*told, "standing")
    duty = known.duties.get(check.split("/")[0], {}).get(check.rpartition("/")[2].partition(":")[0])
    if duty is not None and row.entry in known.fold.unreleased(check, duty):
        return StopLine(*told, "mended")
    by = [act for act in known.releases.get((row.entry, check), ()) if act.duty == duty]
    if not by:
        return StopLine(*told, "released")
    return StopLine(*told, "released", name_of(session, row.book, by[0].device), by[0].at)
