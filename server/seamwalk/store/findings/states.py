"""Questions about walls: how their checks stand, what faults stand."""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from seamwalk.domain.checks.file import ChecksFile
from seamwalk.domain.findings.findings import CheckState, Fold, Rank
from seamwalk.domain.findings.second_look import first_of, second_look_fault
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import Wall, build_wall
from seamwalk.errors import NotFound
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import read_salted_text
from seamwalk.store.projections.check_states import acts_by_entry, placed_acts
from seamwalk.store.tables import (
    ActCheck,
    ActRow,
    CheckStateRow,
    Device,
    WallPlan,
)

STATES = ("fault", "reopened", "open", "not_reached", "ok")


@dataclass(frozen=True)
class OpenFinding:
    """An act that stands at a check, as people read it."""

    id: str
    check: str
    kind: str
    weight: str | None
    reason: str | None
    note: str | None
    by: str
    at: str


def checks_file(session: Session, plan: WallPlan) -> ChecksFile:
    """A plan's frozen checks, read."""
    file: ChecksFile = json.loads(_file(session, plan, plan.checks_file))
    return file


def planned_wall(session: Session, plan: WallPlan) -> Wall:
    """The wall that a stored plan makes."""
    return build_wall(parse_plan(_file(session, plan, plan.plan_file).decode()))


def _file(session: Session, plan: WallPlan, name: str) -> bytes:
    data = read_blob(session, plan.book, name)
    if data is None:
        message = f"wall {plan.wall}: a file of its plan {plan.title!r} is not here"
        raise NotFound(message, "A phone that has it sends it at its next sync; or set the plan again.")
    return data


def wall_states(session: Session, book_id: str, wall: str) -> dict[str, CheckState]:
    """The state of every check of a wall that has one other than open."""
    where = (CheckStateRow.book == book_id, CheckStateRow.check.startswith(f"{wall}/", autoescape=True))
    rows = session.scalars(select(CheckStateRow).where(*where))
    return {row.check: CheckState(Rank(row.rank), tuple(row.standing)) for row in rows}


def walked_states(
    session: Session, book_id: str, wall: str, states: dict[str, CheckState]
) -> dict[str, CheckState]:
    """A wall's states for whoever walks: a second look that counts for nothing is to be looked at again."""
    seconds = [check for check, state in states.items() if first_of(check) and state.rank == Rank.OK]
    if not seconds:
        return states
    fold = Fold(act for _, act in placed_acts(session, book_id, acts_of_wall(book_id, wall)))
    again = [check for check in seconds if second_look_fault(check, lambda _check: fold)]
    return states | {check: CheckState(Rank.REOPENED, states[check].standing) for check in again}


def count_states(checks: Sequence[str], states: Mapping[str, CheckState]) -> dict[str, int]:
    """How many of these checks are in each state."""
    counted = Counter(states[check].state if check in states else "open" for check in checks)
    return {state: counted[state] for state in STATES}


def name_of(session: Session, book_id: str, device_id: str) -> str:
    """The name of the person behind a device, or that it was erased or is unknown."""
    device = session.get(Device, (book_id, device_id))
    if device is None:
        return "office"
    return read_salted_text(read_blob(session, book_id, device.name_blob)) or f"({device.person})"


def people(session: Session, book_id: str) -> list[tuple[str, str]]:
    """Everybody who has a phone in a book: person and name, by name, each once."""
    devices = session.scalars(select(Device).where(Device.book == book_id).order_by(Device.admitted_idx))
    found = {device.person: name_of(session, book_id, device.device) for device in devices}
    return sorted(found.items(), key=lambda item: item[1].casefold())


def open_findings(session: Session, book_id: str, states: Mapping[str, CheckState]) -> list[OpenFinding]:
    """Faults and reopenings that stand, worst first."""
    bad = {check: state for check, state in states.items() if state.rank >= Rank.REOPENED}
    ids = {entry for state in bad.values() for entry in state.standing}
    rows = {row.entry: row for row in session.scalars(acts_by_entry(session, book_id, ids, ActRow))}
    found = [
        (state.rank, _describe(session, rows[entry], check))
        for check, state in bad.items()
        for entry in state.standing
        if kind_at(rows[entry], check) in ("fault", "reopened")
    ]
    return [act for _, act in sorted(found, key=lambda item: (-item[0], item[1].check))]


def _describe(session: Session, row: ActRow, check: str) -> OpenFinding:
    note = read_salted_text(read_blob(session, row.book, row.note_blob))
    by = name_of(session, row.book, row.device)
    kind = kind_at(row, check)
    weight = row.weight if kind == "fault" else None
    return OpenFinding(row.entry, check, kind, weight, row.reason, note, by, row.at)


def kind_at(row: ActRow, check: str) -> str:
    """What an act is at a check that it names: ok, fault, not_reached, reopened or released."""
    return "reopened" if check in row.reopens else row.kind


def withdrawn_entries(session: Session, book_id: str) -> set[tuple[str, str]]:
    """Entries of a book that somebody took back, each with whom: only an author's own word counts."""
    back = select(ActRow.target, ActRow.author).where(ActRow.book == book_id, ActRow.target.is_not(None))
    return {(str(target), author) for target, author in session.execute(back)}


def acts_of_wall(book_id: str, wall: str) -> Select[Any]:
    """The places in the book of all acts that name a check of a wall."""
    named = ActCheck.check.startswith(f"{wall}/", autoescape=True)
    return select(ActCheck.idx).where(ActCheck.book == book_id, named)
