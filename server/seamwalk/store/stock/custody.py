"""What happened to one thing, across the books of all shows: its chain, its looks, and when it broke."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry
from seamwalk.book.parsing import read_kept
from seamwalk.domain.stock.custody import Handover, Look, Repair, Window, holders, window, windows
from seamwalk.domain.stock.tile_parts import DAMAGE_OF_REASON, PARTS_OF_KIND, TILE_GROUPS, covered_by_check
from seamwalk.errors import NotFound
from seamwalk.store.findings.states import kind_at, name_of, withdrawn_entries
from seamwalk.store.ledger.books import list_books
from seamwalk.store.projections.movements import PLACING
from seamwalk.store.stock.locations import not_withdrawn
from seamwalk.store.tables import ActCheck, ActRow, Book, LedgerEntry, MovementRow

_MAX = 2000


@dataclass(frozen=True)
class HistoryEntry:
    """One thing that was written of a thing: when by the phone and by the server, by whom, in which book."""

    book: str
    title: str
    idx: int
    entry: str
    type: str
    by: str
    at: str
    kept_at: str | None
    seen_at: str
    body: dict[str, Any]
    movement: MovementRow


@dataclass(frozen=True)
class Breakage:
    """Damage with its window and who can have had the thing in it, newest last."""

    window: Window
    holders: list[Handover]


@dataclass(frozen=True)
class Custody:
    """Everything that is known of a thing; `entries` oldest first, `looks` also those at checks of a wall."""

    entries: list[HistoryEntry]
    looks: list[Look]
    repairs: list[Repair]
    steps: list[Handover]

    @property
    def breakages(self) -> list[Breakage]:
        """Every damage that was seen, oldest first."""
        found = windows(self.looks, self.repairs)
        return [Breakage(made, holders(made, self.steps)) for made in found]

    def breakage_of(self, entry: str, part: str) -> Breakage | None:
        """The damage of a part that a look saw, whoever saw it first; None when no such look stands."""
        for look in self.looks:
            if look.entry == entry and part in look.saw:
                made = window(part, look, self.looks, self.repairs)
                return Breakage(made, holders(made, self.steps))
        return None


@dataclass(frozen=True)
class SourceEntry:
    """An entry that says what somebody saw, with its book, its author's name and its photos."""

    book: Book
    entry: Entry
    by: str

    @property
    def photos(self) -> list[str]:
        """Names of the photos that it speaks of."""
        return list(self.entry.body.get("photo_blobs") or ())


def find_source_entry(session: Session, entry: str) -> SourceEntry:
    """Find an entry in whichever book it stands; raise NotFound."""
    for book in list_books(session):
        named = or_(LedgerEntry.entry == entry, LedgerEntry.other == entry)
        where = (LedgerEntry.book == book.id, LedgerEntry.void.is_(None), named)
        jws = session.scalar(select(LedgerEntry.jws).where(*where))
        if jws is not None:
            found = read_kept(jws)
            return SourceEntry(book, found, name_of(session, book.id, found.device))
    raise NotFound(f"entry {entry} is in no book here", "Open the thing's page again.")


def custody(session: Session, item: str, kind: str) -> Custody:
    """Put a thing's chain together from every book."""
    entries = history(session, item)
    on_walls = list(_on_walls(session, entries))
    looks = [*_item_looks(entries, kind), *(made for made in on_walls if isinstance(made, Look))]
    repairs = [*_repairs(entries, kind), *(made for made in on_walls if isinstance(made, Repair))]
    ordered = sorted(looks, key=lambda look: (look.earliest, look.entry))
    return Custody(entries, ordered, repairs, list(_handovers(entries)))


def history(session: Session, item: str, case: bool = False) -> list[HistoryEntry]:
    """What was written of a thing and not taken back, oldest first; with `case` what lay in it too.

    Of a very long history the newest part.
    """
    about = or_(MovementRow.item == item, MovementRow.case_code == item) if case else MovementRow.item == item
    query = select(MovementRow, LedgerEntry.jws, Book.title)
    query = query.join(
        LedgerEntry, (LedgerEntry.book == MovementRow.book) & (LedgerEntry.idx == MovementRow.idx)
    )
    query = query.join(Book, Book.id == MovementRow.book).where(about, not_withdrawn())
    newest = query.order_by(MovementRow.seen_at.desc(), MovementRow.book.desc(), MovementRow.idx.desc())
    rows = session.execute(newest.limit(_MAX)).all()[::-1]
    names = _names(session, {(row.book, row.device) for row, _, _ in rows})
    found: dict[tuple[str, int], HistoryEntry] = {}
    for row, jws, title in rows:
        who = (row.book, title, row.idx, row.entry, row.type, names[row.book, row.device])
        record = HistoryEntry(*who, row.at, row.kept_at, row.seen_at, read_kept(jws).body, row)
        found.setdefault((row.book, row.idx), record)
    return list(found.values())


def _names(session: Session, devices: Iterable[tuple[str, str]]) -> dict[tuple[str, str], str]:
    return {(book, device): name_of(session, book, device) for book, device in devices}


def _span(at: str, kept_at: str | None) -> tuple[str, str]:
    """When something was, as an interval: a clock that ran ahead of the server's tells no earliest time."""
    return ("", kept_at) if kept_at is not None and at > kept_at else (at, at)


def _groups(kind: str) -> frozenset[str]:
    return frozenset(TILE_GROUPS if kind == "tile" else PARTS_OF_KIND[kind])


def _item_looks(entries: Iterable[HistoryEntry], kind: str) -> Iterator[Look]:
    for record in entries:
        span = (*_span(record.at, record.kept_at), record.entry, record.by)
        if record.type == "item_looked_at":
            saw = frozenset(damage["part"] for damage in record.body.get("damage") or ())
            yield Look(*span, covers=frozenset(record.body["covers"]), saw=saw)
        elif record.type == "item_benched" and record.movement.told == "second_look/sound":
            yield Look(*span, covers=_groups(kind))


def _repairs(entries: Iterable[HistoryEntry], kind: str) -> Iterator[Repair]:
    for record in entries:
        if record.type == "item_benched" and record.movement.told == "repair/mended":
            parts = frozenset(record.body.get("mended") or ()) or _groups(kind)
            yield Repair(*_span(record.at, record.kept_at), record.entry, record.by, parts=parts)


def _handovers(entries: Iterable[HistoryEntry]) -> Iterator[Handover]:
    for record in entries:
        if record.type in PLACING:
            span, movement = _span(record.at, record.kept_at), record.movement
            where = (movement.stage or "", movement.place or "", movement.case_code or "")
            yield Handover(*span, record.entry, record.by, record.title, *where)


def _on_walls(session: Session, entries: list[HistoryEntry]) -> Iterator[Look | Repair]:
    """Looks and repairs at checks of a wall while the thing stood there."""
    for record in entries:
        if record.type == "tile_bound":
            since, until = _stay(session, record)
            yield from _acts_at(session, record, since, until)


def _stay(session: Session, record: HistoryEntry) -> tuple[str, str]:
    """From when to when a tile stood at a place: the first from the beginning, the last to the end."""
    here = (
        MovementRow.book == record.book,
        MovementRow.place == record.movement.place,
        MovementRow.type == "tile_bound",
    )
    times = sorted(session.scalars(select(MovementRow.seen_at).where(*here, not_withdrawn())))
    moved = (
        MovementRow.book == record.book,
        MovementRow.item == record.movement.item,
        MovementRow.type == "tile_bound",
    )
    own = sorted(session.scalars(select(MovementRow.seen_at).where(*moved, not_withdrawn())))
    later = [at for at in {*times, *own} if at > record.seen_at]
    first = record.seen_at in (times[:1] or [""]) and record.seen_at == own[0]
    return ("" if first else record.seen_at), min(later, default="9")


def _acts_at(session: Session, record: HistoryEntry, since: str, until: str) -> Iterator[Look | Repair]:
    """Acts at checks that touch the tile at its place.

    A fault at a joint does not tell which of its two tiles it is about. An ok that answers a fault stands for
    its repair too.
    """
    wall, _, tile = (record.movement.place or "").partition("/")
    touching = (ActCheck.check.startswith(f"{wall}/"), ActCheck.check.contains(f"/{tile}/"))
    query = select(ActCheck.check, ActRow, LedgerEntry.kept_at)
    query = query.join(ActRow, (ActRow.book == ActCheck.book) & (ActRow.idx == ActCheck.idx))
    query = query.join(LedgerEntry, (LedgerEntry.book == ActRow.book) & (LedgerEntry.idx == ActRow.idx))
    gone = withdrawn_entries(session, record.book)
    for check, act, kept_at in session.execute(query.where(ActCheck.book == record.book, *touching)):
        covers = covered_by_check(check, tile)
        stood = since <= min(act.at, kept_at or act.at) < until
        if stood and covers and (act.entry, act.author) not in gone:
            span = (*_span(act.at, kept_at), act.entry, name_of(session, record.book, act.device))
            yield from _read_act(act, check, span, covers)


def _read_act(
    act: ActRow, check: str, span: tuple[str, str, str, str], covers: frozenset[str]
) -> Iterator[Look | Repair]:
    group = DAMAGE_OF_REASON.get(act.reason or "")
    if act.kind == "ok":
        if act.answers:
            yield Repair(*span, parts=covers)
        yield Look(*span, covers=covers)
    elif kind_at(act, check) == "fault" and group in covers and check.split("/")[1] == "tile":
        yield Look(*span, covers=frozenset({group}), saw=frozenset({group}))
