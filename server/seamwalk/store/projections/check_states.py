"""Keep the states of checks up to date as acts come in.

Most acts only add themselves to what stands at a check. Where something is answered or taken back, all
acts of the check are added up again.
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Select, delete, or_, select
from sqlalchemy.orm import Session

from seamwalk.domain.findings.findings import Act, CheckState, Fold, Rank, rank
from seamwalk.store.rows import among, insert_rows
from seamwalk.store.tables import ActCheck, ActRow, CheckStateRow, LedgerEntry

_COLUMNS = (
    ActRow.entry,
    ActRow.author,
    ActRow.kind,
    ActRow.checks,
    ActRow.weight,
    ActRow.answers,
    ActRow.target,
    ActRow.other,
    ActRow.reopens,
    ActRow.duty,
    ActRow.ahead,
    ActRow.at,
)
_NAMES = tuple(column.key for column in _COLUMNS)


def update_states(session: Session, book: str, acts: Sequence[Act]) -> None:
    """Bring the states of all checks up to date that these acts touch; the acts are stored already."""
    new: dict[str, list[Act]] = defaultdict(list)
    for act in acts:
        for check in act.checks:
            new[check].append(act)
    anew = _answered_or_taken_back(session, book, acts, new)
    if anew:
        fold = load_fold(session, book, anew)
        _store(session, book, {check: fold.state(check) for check in anew})
    simple = new.keys() - anew
    if simple:
        before = _states(session, book, simple)
        _store(session, book, {check: _state_after(before.get(check), new[check], check) for check in simple})


def _state_after(state: CheckState | None, acts: Sequence[Act], check: str) -> CheckState:
    """A check's state after acts of which none answers, or is answered or taken back."""
    known = state or CheckState()
    found = [act for act in acts if act.kind != "released"]
    standing = sorted([*known.standing, *[act.id for act in found]])
    return CheckState(max([known.rank, *[rank(act, check) for act in found]]), tuple(standing))


def _answered_or_taken_back(
    session: Session, book: str, acts: Sequence[Act], new: Mapping[str, Sequence[Act]]
) -> set[str]:
    """Checks where one of the new acts answers or takes back, or something may answer it or took it back."""
    found: set[str] = set()
    named = select(ActCheck.check).where(ActCheck.book == book)
    found.update(session.scalars(named.where(among(session, ActCheck.check, new), ActCheck.answering)))
    targets = [act.target for act in acts if act.target is not None]
    if targets:
        taken = acts_by_entry(session, book, targets, ActRow.checks)
        found.update(check for checks in session.scalars(taken) for check in checks)
    by_id = {act.id: act for act in acts}
    query = select(ActRow.target).where(ActRow.book == book, among(session, ActRow.target, by_id))
    found.update(check for target in session.scalars(query) for check in by_id[target or ""].checks)
    return found


def _states(session: Session, book: str, checks: Collection[str]) -> dict[str, CheckState]:
    query = select(CheckStateRow.check, CheckStateRow.rank, CheckStateRow.standing)
    rows = session.execute(
        query.where(CheckStateRow.book == book, among(session, CheckStateRow.check, checks))
    )
    return {row.check: CheckState(Rank(row.rank), tuple(row.standing)) for row in rows}


def _store(session: Session, book: str, states: Mapping[str, CheckState]) -> None:
    where = (CheckStateRow.book == book, among(session, CheckStateRow.check, states))
    session.execute(delete(CheckStateRow).where(*where), execution_options={"synchronize_session": False})
    rows = [
        {"book": book, "check_id": check, "rank": int(state.rank), "standing": list(state.standing)}
        for check, state in states.items()
        if state.rank != Rank.OPEN
    ]
    if rows:
        insert_rows(session, CheckStateRow, rows)


def load_fold(session: Session, book: str, checks: Collection[str]) -> Fold:
    """All acts that name one of these checks, and the withdrawals of those acts, added up."""
    named = select(ActCheck.idx).where(ActCheck.book == book, among(session, ActCheck.check, checks))
    acts = session.execute(select(*_COLUMNS).where(ActRow.book == book, acts_at_or_on(book, named))).all()
    return Fold(map(_act, acts))


def placed_acts(session: Session, book: str, named: Select[Any]) -> Iterator[tuple[int, Act]]:
    """The acts at these places of a book and those that take one of them back, each with its place."""
    rows = session.execute(
        select(ActRow.idx, *_COLUMNS).where(ActRow.book == book, acts_at_or_on(book, named))
    )
    return ((idx, _act(columns)) for idx, *columns in rows)


def acts_at_or_on(book: str, named: Select[Any]) -> ColumnElement[bool]:
    """Whether an act stands at one of these places of a book, or takes back one that does."""
    entries = select(LedgerEntry.entry).where(LedgerEntry.book == book, LedgerEntry.idx.in_(named))
    return or_(ActRow.idx.in_(named), ActRow.target.in_(entries))


def acts_by_entry(session: Session, book: str, entries: Collection[str], *what: Any) -> Select[Any]:
    """A query for what is asked of the acts that these entries made."""
    where = (LedgerEntry.book == book, among(session, LedgerEntry.entry, entries), ActRow.book == book)
    return select(*what).join(LedgerEntry, LedgerEntry.idx == ActRow.idx).where(*where)


def _act(row: Any) -> Act:
    return to_act(dict(zip(_NAMES, row, strict=True)))


def to_act(row: ActRow | Mapping[str, Any]) -> Act:
    """An act as the domain knows it, from a stored row or from one that is to be stored."""
    value = row if isinstance(row, Mapping) else vars(row)
    checks, answers = tuple(value["checks"]), frozenset(value["answers"])
    fields = (value["weight"], answers, value["target"], value["other"], frozenset(value["reopens"]))
    early = frozenset((value["ahead"] or {}).get("missing") or ())
    return Act(
        value["entry"], value["author"], value["kind"], checks, *fields, value["duty"], early, value["at"]
    )
