"""Sign-offs: what each covers, whether it still holds, whether it names all that was in the way."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Any

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session

from seamwalk.book.head import Head
from seamwalk.book.parsing import read_kept
from seamwalk.book.trust import Trust
from seamwalk.domain.checks.checks import is_strike_check
from seamwalk.domain.findings.coverage import Coverage, Extent, coverages
from seamwalk.domain.findings.findings import Act, CheckState, Fold
from seamwalk.domain.findings.signoff import Lapse, SignedStates, lapse
from seamwalk.signoffs.claim import Claim, Unknown, claim_of, read_file
from seamwalk.signoffs.frozen_checks import FrozenChecks
from seamwalk.signoffs.strike import STRIKE_TYPES, StrikeAct, opened_for
from seamwalk.store.entry_ids import kept_ids, of_type
from seamwalk.store.findings.states import acts_of_wall, name_of, wall_states
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import current_plan
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.ledger.witness import bears_out
from seamwalk.store.projections.check_states import placed_acts
from seamwalk.store.rows import among
from seamwalk.store.tables import ActivityRow, ActRow, LedgerEntry, SignOff, WallPlan


@dataclass(frozen=True)
class SignOffState:
    """A sign-off: the states that it covers, whether it still holds, what became of its claim."""

    entry: str
    by: str
    at: str
    body: dict[str, Any]
    states: Mapping[str, CheckState]
    lapsed: Lapse | None
    claim: Claim


def sign_offs(session: Session, book_id: str, wall: str | None = None) -> list[SignOffState]:
    """Sign-offs of a book or of one wall, newest first, each standing or lapsed."""
    query = select(SignOff).where(SignOff.book == book_id).order_by(SignOff.idx.desc())
    return describe(
        session, book_id, session.scalars(query.where(SignOff.wall == wall) if wall else query).all()
    )


def describe(session: Session, book_id: str, rows: Sequence[SignOff]) -> list[SignOffState]:
    """What is to be said of these sign-offs of a book, in their order; findings are added up once a wall."""
    if not rows:
        return []
    by_wall: dict[str, list[SignOff]] = defaultdict(list)
    for row in rows:
        by_wall[row.wall].append(row)
    trust = load_trust(session, book_id)
    made = {state.entry: state for own in by_wall.values() for state in _of_wall(session, trust, own)}
    return [made[row.entry] for row in rows]


def _of_wall(session: Session, trust: Trust, rows: Sequence[SignOff]) -> Iterator[SignOffState]:
    book, wall = trust.book, rows[0].wall
    plan, states = current_plan(session, book, wall), _built(wall_states(session, book, wall))
    files = _Files(session, book)
    acts = list(placed_acts(session, book, acts_of_wall(book, wall)))
    strike = _strike_acts(session, book)
    now = _Now(plan.entry if plan else None, states, _at_stops(acts))
    extents = [_extent(trust, row) for row in rows]
    for number, covered in coverages(acts, extents):
        row, named = rows[number], find_plan(session, rows[number])
        file = files.of(row, named)
        lapsed = _lapse(row, named, file, covered, now)
        opened = opened_for(strike, extents[number], wall)
        claim = claim_of(row.body, _unknown_entries(session, row) or file, covered, opened)
        by = name_of(session, book, row.device)
        yield SignOffState(row.entry, by, row.at, row.body, covered.of_wall(wall), lapsed, claim)


@dataclass(frozen=True)
class _Now:
    """How a wall stands: its plan, its checks as built, what was found where a stop ever was."""

    plan: str | None
    states: Mapping[str, CheckState]
    stops: Fold


def _at_stops(acts: Sequence[tuple[int, Act]]) -> Fold:
    """What was found where a stop ever was, with all that was taken back; nothing is added up beside."""
    stopped = {check for _, act in acts if act.weight == "stop" for check in act.checks}
    if not stopped:
        return Fold()
    return Fold(act for _, act in acts if act.target is not None or not stopped.isdisjoint(act.checks))


def _lapse(
    row: SignOff, named: WallPlan | None, file: FrozenChecks | Unknown, covered: Coverage, now: _Now
) -> Lapse | None:
    """Why a sign-off no longer holds, over the kinds of checks that it covers."""
    covers = _covered_kinds(row, file)
    then = _built({check: state for check, state in covered.of_wall(row.wall).items() if covers(check)})
    excepted = frozenset(item["check"] for item in row.body["exceptions"])
    held_then, held_now = _held(file, covered), _held(file, now.stops)
    signed = SignedStates(named.entry if named else row.body["plan"], excepted, then, frozenset(held_then))
    still = {check: state for check, state in now.states.items() if covers(check)}
    return lapse(signed, now.plan, still, held_now)


def _held(file: FrozenChecks | Unknown, found: Coverage | Fold) -> set[str]:
    """Checks that a stop holds; none where the file is not here or knows of no releases."""
    if isinstance(file, Unknown) or not file.knows_releases:
        return set()
    return found.held(file.duty_of)


def _covered_kinds(row: SignOff, file: FrozenChecks | Unknown) -> Callable[[str], bool]:
    """Whether a check is one that a sign-off is over; all are where its checks file is not here."""
    statement = row.body["statement"]
    return lambda check: isinstance(file, Unknown) or file.covers(statement, check)


def _extent(trust: Trust, row: SignOff) -> Extent:
    """What a sign-off covers; after a restore that changed the order, what stands before it."""
    return Extent(trust.agreed_size(row.body["epoch"], row.body["size"]), frozenset(row.body["own"]))


def _built(states: Mapping[str, CheckState]) -> dict[str, CheckState]:
    """What a wall is signed for as built: what is found while it is taken down is no part of it."""
    return {check: state for check, state in states.items() if not is_strike_check(check)}


def _unknown_entries(session: Session, row: SignOff) -> Unknown | None:
    body = row.body
    if not bears_out(session, Head(row.book, body["epoch"], body["size"], body["root"], "")):
        return Unknown.OTHER_ENTRIES
    own = set(body["own"])
    return Unknown.ENTRIES_MISSING if own - _here(session, row.book, own) else None


def _here(session: Session, book: str, references: Set[str]) -> set[str]:
    """Those of some references that mean an entry which is in a book."""
    named = or_(*(among(session, id_, references) for id_ in (LedgerEntry.entry, LedgerEntry.other)))
    where = (LedgerEntry.book == book, LedgerEntry.void.is_(None), named)
    ids = session.execute(select(LedgerEntry.entry, LedgerEntry.other).where(*where))
    return {name for both in ids for name in both if name in references}


class _Files:
    """The checks files that sign-offs of one book name, each read once."""

    def __init__(self, session: Session, book: str) -> None:
        self._session = session
        self._book = book
        self._read: dict[str, FrozenChecks | Unknown] = {}

    def of(self, row: SignOff, plan: WallPlan | None) -> FrozenChecks | Unknown:
        """The checks file of the plan that a sign-off names."""
        if plan is None:
            return Unknown.PLAN_MISSING
        if plan.wall != row.wall:
            return Unknown.PLAN_OF_OTHER_WALL
        name = plan.checks_file
        if name not in self._read:
            data = read_blob(self._session, self._book, name)
            erased = data is None and self._is_erased(name)
            self._read[name] = read_file(data, erased=erased)
        return self._read[name]

    def _is_erased(self, name: str) -> bool:
        """Whether an entry of the book says that a blob is gone on purpose."""
        texts = self._session.scalars(select(LedgerEntry.jws).where(of_type(self._book, "blob_erased")))
        return any(read_kept(jws).body["blob"] == name for jws in texts)


def find_plan(session: Session, row: SignOff) -> WallPlan | None:
    """The plan that a sign-off names."""
    plan = row.body["plan"]
    return session.get(WallPlan, (row.book, kept_ids(session, row.book, [plan]).get(plan, plan)))


def _strike_acts(session: Session, book: str) -> list[StrikeAct]:
    """Openings and closings of strikes in a book, and what takes one of them back."""
    opened = session.execute(
        select(ActivityRow, LedgerEntry.other)
        .join(LedgerEntry, and_(LedgerEntry.book == book, LedgerEntry.idx == ActivityRow.idx))
        .where(ActivityRow.book == book, ActivityRow.type.in_(STRIKE_TYPES))
    )
    acts = [StrikeAct(row.idx, (row.entry, other), row.type, row.author, row.body) for row, other in opened]
    names = {name for act in acts for name in act.names}
    back = select(ActRow).where(ActRow.book == book, among(session, ActRow.target, names))
    return acts + [
        StrikeAct(row.idx, (row.entry, row.other), "withdrawn", row.author, {"entry": row.target})
        for row in session.scalars(back)
    ]
