"""Questions about walls: how their checks stand, what faults stand, which sign-offs hold."""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, or_, select
from sqlalchemy.orm import Session

from seamwalk.domain.checks import is_of_strike
from seamwalk.domain.findings import CheckState, Fold, Rank
from seamwalk.domain.plan import parse_plan
from seamwalk.domain.signoff import Lapse, Signed, lapse
from seamwalk.domain.wall import Wall, build_wall
from seamwalk.errors import NotFound
from seamwalk.store.adding_up import about, acts_by_entry, to_act
from seamwalk.store.blobs import read_blob
from seamwalk.store.books import current_plan, read_salted_text
from seamwalk.store.naming import kept_ids
from seamwalk.store.rows import among
from seamwalk.store.tables import (
    ActCheck,
    ActRow,
    CheckStateRow,
    Device,
    LedgerEntry,
    SignOff,
    WallPlan,
)
from seamwalk.store.trusting import load_trust

STATES = ("fault", "reopened", "open", "not_reached", "ok")


@dataclass(frozen=True)
class StandingAct:
    """An act that stands at a check, as people read it."""

    id: str
    check: str
    kind: str
    weight: str | None
    reason: str | None
    note: str | None
    by: str
    at: str


@dataclass(frozen=True)
class SignOffState:
    """A sign-off and whether it still holds."""

    entry: str
    by: str
    at: str
    body: dict[str, Any]
    lapsed: Lapse | None


def checks_file(session: Session, plan: WallPlan) -> dict[str, Any]:
    """A plan's frozen checks, read."""
    return dict(json.loads(_file(session, plan, plan.checks_file)))


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


def standing_acts(session: Session, book_id: str, states: Mapping[str, CheckState]) -> list[StandingAct]:
    """Faults and reopenings that stand, worst first."""
    bad = {check: state for check, state in states.items() if state.rank >= Rank.REOPENED}
    ids = {entry for state in bad.values() for entry in state.standing}
    rows = {row.entry: row for row in session.scalars(acts_by_entry(session, book_id, ids, ActRow))}
    found = [
        (state.rank, _describe(session, rows[entry], check))
        for check, state in bad.items()
        for entry in state.standing
        if rows[entry].kind in ("fault", "reopened")
    ]
    return [act for _, act in sorted(found, key=lambda item: (-item[0], item[1].check))]


def _describe(session: Session, row: ActRow, check: str) -> StandingAct:
    note = read_salted_text(read_blob(session, row.book, row.note_blob))
    by = name_of(session, row.book, row.device)
    return StandingAct(row.entry, check, row.kind, row.weight, row.reason, note, by, row.at)


def sign_offs(session: Session, book_id: str, wall: str | None = None) -> list[SignOffState]:
    """Sign-offs of a book or of one wall, newest first, each standing or lapsed."""
    query = select(SignOff).where(SignOff.book == book_id).order_by(SignOff.idx.desc())
    rows = session.scalars(query.where(SignOff.wall == wall) if wall else query)
    return [describe_sign_off(session, row) for row in rows]


def describe_sign_off(session: Session, row: SignOff) -> SignOffState:
    """A sign-off with whether it holds now."""
    plan, over = current_plan(session, row.book, row.wall), row.body["plan"]
    signed = Signed(
        kept_ids(session, row.book, [over]).get(over, over),
        frozenset(item["check"] for item in row.body["exceptions"]),
        _built(covered_states(session, row)),
    )
    now = _built(wall_states(session, row.book, row.wall))
    lapsed = lapse(signed, plan.entry if plan else None, now)
    return SignOffState(row.entry, name_of(session, row.book, row.device), row.at, row.body, lapsed)


def _built(states: dict[str, CheckState]) -> dict[str, CheckState]:
    """What a wall is signed for as built: what is found while it is taken down is no part of it."""
    return {check: state for check, state in states.items() if not is_of_strike(check)}


def covered_states(session: Session, row: SignOff) -> dict[str, CheckState]:
    """The states of a wall's checks over exactly the entries that a sign-off covers.

    After a restore that changed their order, only those before it count as covered.
    """
    book, wall = row.book, row.wall
    size = load_trust(session, book).agreed_size(row.body["epoch"], row.body["size"])
    names = row.body["own"]
    named = or_(among(session, LedgerEntry.entry, names), among(session, LedgerEntry.other, names))
    own = select(LedgerEntry.idx).where(LedgerEntry.book == book, named)
    covered = or_(ActRow.idx < size, ActRow.idx.in_(own))
    query = select(ActRow).where(ActRow.book == book, covered, about(book, acts_of_wall(book, wall)))
    fold = Fold(to_act(act) for act in session.scalars(query))
    return {check: fold.state(check) for check in fold.checks() if check.startswith(f"{wall}/")}


def acts_of_wall(book_id: str, wall: str) -> Select[Any]:
    """The places in the book of all acts that name a check of a wall."""
    named = ActCheck.check.startswith(f"{wall}/", autoescape=True)
    return select(ActCheck.idx).where(ActCheck.book == book_id, named)
