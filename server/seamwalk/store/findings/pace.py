"""Oks of a wall that came quicker than anybody can walk and look: who gave them, and what they say of it."""

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.parsing import read_kept
from seamwalk.domain.checks.pace_rule import Tap, around_too_quick, too_quick
from seamwalk.domain.findings.findings import CheckState, Rank
from seamwalk.store.findings.states import name_of, withdrawn_entries
from seamwalk.store.projections.check_states import acts_by_entry
from seamwalk.store.rows import among
from seamwalk.store.tables import ActivityRow, ActRow, LedgerEntry

_LOOKS = ("ok", "fault", "not_reached")


@dataclass(frozen=True)
class QuickOks:
    """Checks (ids, sorted) that somebody found ok too quickly, from the first such tap to the last.

    `afterwards`: they say that they looked first and tapped later.
    """

    by: str
    first_at: str
    last_at: str
    afterwards: bool
    checks: tuple[str, ...]


def quick_oks(session: Session, book_id: str, states: Mapping[str, CheckState]) -> list[QuickOks]:
    """What these states rest on that was too quick, by phone; not what somebody else had the time for."""
    rows = standing_oks(session, book_id, states)
    phones = {row.device for row in rows.values()}
    back = withdrawn_entries(session, book_id) if phones else set()
    quick = {entry for device in phones for entry in _quick(session, book_id, device, back)}
    answered = _answered(session, book_id, back) if quick else set()
    found: dict[tuple[str, bool], list[tuple[str, ActRow]]] = defaultdict(list)
    for check, state in sorted(states.items()):
        oks = [rows[entry] for entry in state.standing if entry in rows]
        if state.rank == Rank.OK and oks and all(row.entry in quick for row in oks):
            said = any((name, row.author) in answered for row in oks for name in (row.entry, row.other))
            found[oks[0].device, said].append((check, oks[0]))
    return [
        _of_phone(name_of(session, book_id, device), own, afterwards=said)
        for (device, said), own in found.items()
    ]


def _answered(session: Session, book_id: str, back: Set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Entries of which somebody says that they looked first and tapped later, each with whom.

    `back` are the entries that were taken back, each with whom.
    """
    where = (ActivityRow.book == book_id, ActivityRow.type == "pace_answered")
    rows = session.execute(
        select(ActivityRow.entry, ActivityRow.author, ActivityRow.body).where(*where)
    ).all()
    return {(name, by) for entry, by, body in rows if (entry, by) not in back for name in body["entries"]}


def _of_phone(by: str, found: Sequence[tuple[str, ActRow]], *, afterwards: bool) -> QuickOks:
    times = [row.at for _, row in found]
    return QuickOks(by, min(times), max(times), afterwards, tuple(check for check, _ in found))


def standing_oks(session: Session, book_id: str, states: Mapping[str, CheckState]) -> dict[str, ActRow]:
    """The oks that stand at those of some checks that are ok, by their entries."""
    ids = {entry for state in states.values() if state.rank == Rank.OK for entry in state.standing}
    rows = session.scalars(acts_by_entry(session, book_id, ids, ActRow))
    return {row.entry: row for row in rows if row.kind == "ok"}


def _quick(session: Session, book_id: str, device: str, back: Set[tuple[str, str]]) -> list[str]:
    """The entries of a phone's oks that were too quick."""
    entries, taps = _taps_of(session, book_id, device, back)
    papers = _papers(session, book_id, [entries[at] for at in around_too_quick(taps)])
    taps = [
        Tap(tap.at_ms, () if entry in papers else tap.checks)
        for entry, tap in zip(entries, taps, strict=True)
    ]
    return [entries[at] for at in too_quick(taps)]


def _taps_of(
    session: Session, book_id: str, device: str, back: Set[tuple[str, str]]
) -> tuple[list[str], list[Tap]]:
    """What a phone wrote of checks, in its own order; what its author took back asks for no look."""
    where = (ActRow.book == book_id, ActRow.device == device)
    placed = (LedgerEntry.book == ActRow.book) & (LedgerEntry.idx == ActRow.idx)
    query = select(ActRow).join(LedgerEntry, placed).where(*where, ActRow.kind.in_(_LOOKS))
    rows = session.scalars(query.order_by(LedgerEntry.n, LedgerEntry.idx)).all()
    stands = [
        row.kind == "ok" and not {(row.entry, row.author), (row.other, row.author)} & back for row in rows
    ]
    taps = [Tap(_ms(row.at), tuple(row.checks) if ok else ()) for row, ok in zip(rows, stands, strict=True)]
    return [row.entry for row in rows], taps


def _papers(session: Session, book_id: str, entries: Sequence[str]) -> set[str]:
    """Those of some entries that were on paper first: they are copied in faster than they were walked."""
    where = (LedgerEntry.book == book_id, among(session, LedgerEntry.entry, entries))
    texts = session.execute(select(LedgerEntry.entry, LedgerEntry.jws).where(*where))
    return {entry for entry, jws in texts if read_kept(jws).body.get("paper")}


def _ms(at: str) -> int | None:
    """A phone's time in ms; None for a text that is none."""
    try:
        return round(1000 * datetime.fromisoformat(at).timestamp())
    except (ValueError, OverflowError):
        return None
