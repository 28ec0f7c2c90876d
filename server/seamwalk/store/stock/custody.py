"""What happened to one thing, across the books of all shows: its chain, its looks, and when it broke."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry
from seamwalk.book.parsing import read_kept
from seamwalk.domain.stock.codes import parse_code
from seamwalk.domain.stock.custody import Handover, Look, Mend, Window, holders, window, windows
from seamwalk.domain.stock.tile_parts import DAMAGE_OF_REASON, PARTS_OF_KIND, TILE_GROUPS, covered_by_check
from seamwalk.errors import NotFound
from seamwalk.store.findings.states import name_of
from seamwalk.store.ledger.books import list_books
from seamwalk.store.projections.movements import PLACING
from seamwalk.store.show.activity_log import taken_back
from seamwalk.store.stock.locations import not_taken_back
from seamwalk.store.stock_tables import TraceRow
from seamwalk.store.tables import ActCheck, ActRow, Book, LedgerEntry

_MOST = 2000


@dataclass(frozen=True)
class Link:
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
    trace: TraceRow


@dataclass(frozen=True)
class Broken:
    """Damage with its window and who can have had the thing in it, newest last."""

    window: Window
    holders: list[Handover]


@dataclass(frozen=True)
class Custody:
    """Everything that is known of a thing; `links` oldest first, `looks` also those at checks of a wall."""

    links: list[Link]
    looks: list[Look]
    mends: list[Mend]
    steps: list[Handover]

    @property
    def broken(self) -> list[Broken]:
        """Every damage that was seen, oldest first."""
        found = windows(self.looks, self.mends)
        return [Broken(made, holders(made, self.steps)) for made in found]

    def broken_by(self, entry: str, part: str) -> Broken | None:
        """The damage of a part that a look saw, whoever saw it first; None when no such look stands."""
        for look in self.looks:
            if look.entry == entry and part in look.saw:
                made = window(part, look, self.looks, self.mends)
                return Broken(made, holders(made, self.steps))
        return None


@dataclass(frozen=True)
class Behind:
    """An entry that says what somebody saw, with its book, its author's name and its photos."""

    book: Book
    entry: Entry
    by: str

    @property
    def photos(self) -> list[str]:
        """Names of the photos that it speaks of."""
        return list(self.entry.body.get("photo_blobs") or ())


def behind(session: Session, entry: str) -> Behind:
    """Find an entry in whichever book it stands; raise NotFound."""
    for book in list_books(session):
        named = or_(LedgerEntry.entry == entry, LedgerEntry.other == entry)
        where = (LedgerEntry.book == book.id, LedgerEntry.void.is_(None), named)
        jws = session.scalar(select(LedgerEntry.jws).where(*where))
        if jws is not None:
            found = read_kept(jws)
            return Behind(book, found, name_of(session, book.id, found.device))
    raise NotFound(f"entry {entry} is in no book here", "Open the thing's page again.")


def custody(session: Session, item: str, kind: str) -> Custody:
    """Put a thing's chain together from every book."""
    links = history(session, item)
    on_walls = list(_on_walls(session, links))
    looks = [*_own_looks(links, kind), *(made for made in on_walls if isinstance(made, Look))]
    mends = [*_mends(links, kind), *(made for made in on_walls if isinstance(made, Mend))]
    ordered = sorted(looks, key=lambda look: (look.earliest, look.entry))
    return Custody(links, ordered, mends, list(_handovers(links)))


def history(session: Session, item: str, case: bool = False) -> list[Link]:
    """What was written of a thing and not taken back, oldest first; with `case` what lay in it too.

    Of a very long history the newest part.
    """
    about = or_(TraceRow.item == item, TraceRow.case_code == item) if case else TraceRow.item == item
    query = select(TraceRow, LedgerEntry.jws, Book.title)
    query = query.join(LedgerEntry, (LedgerEntry.book == TraceRow.book) & (LedgerEntry.idx == TraceRow.idx))
    query = query.join(Book, Book.id == TraceRow.book).where(about, not_taken_back())
    newest = query.order_by(TraceRow.seen_at.desc(), TraceRow.book.desc(), TraceRow.idx.desc())
    rows = session.execute(newest.limit(_MOST)).all()[::-1]
    names = _names(session, {(trace.book, trace.device) for trace, _, _ in rows})
    found: dict[tuple[str, int], Link] = {}
    for trace, jws, title in rows:
        who = (trace.book, title, trace.idx, trace.entry, trace.type, names[trace.book, trace.device])
        link = Link(*who, trace.at, trace.kept_at, trace.seen_at, read_kept(jws).body, trace)
        found.setdefault((trace.book, trace.idx), link)
    return list(found.values())


def _names(session: Session, devices: Iterable[tuple[str, str]]) -> dict[tuple[str, str], str]:
    return {(book, device): name_of(session, book, device) for book, device in devices}


def _span(at: str, kept_at: str | None) -> tuple[str, str]:
    """When something was, as an interval: a clock that ran ahead of the server's tells no earliest time."""
    return ("", kept_at) if kept_at is not None and at > kept_at else (at, at)


def _groups(kind: str) -> frozenset[str]:
    return frozenset(TILE_GROUPS if kind == "tile" else PARTS_OF_KIND[kind])


def _own_looks(links: Iterable[Link], kind: str) -> Iterator[Look]:
    for link in links:
        span = (*_span(link.at, link.kept_at), link.entry, link.by)
        if link.type == "item_looked_at":
            saw = frozenset(damage["part"] for damage in link.body.get("damage") or ())
            yield Look(*span, covers=frozenset(link.body["covers"]), saw=saw)
        elif link.type == "item_benched" and link.trace.told == "second_look/sound":
            yield Look(*span, covers=_groups(kind))


def _mends(links: Iterable[Link], kind: str) -> Iterator[Mend]:
    for link in links:
        if link.type == "item_benched" and link.trace.told == "repair/mended":
            parts = frozenset(link.body.get("mended") or ()) or _groups(kind)
            yield Mend(*_span(link.at, link.kept_at), link.entry, link.by, parts=parts)


def _handovers(links: Iterable[Link]) -> Iterator[Handover]:
    for link in links:
        if link.type in PLACING:
            span, stage = _span(link.at, link.kept_at), link.trace.stage or ""
            yield Handover(*span, link.entry, link.by, holder=_holder(link), stage=stage)


def _holder(link: Link) -> str:
    """Where a thing was from an entry on, in words that need no catalogue: names and codes."""
    trace = link.trace
    case = parse_code(trace.case_code).grouped if trace.case_code else ""
    where = [link.title, trace.place or "", case]
    return " · ".join(part for part in where if part)


def _on_walls(session: Session, links: list[Link]) -> Iterator[Look | Mend]:
    """Looks and mends at checks of a wall while the thing stood there."""
    for link in links:
        if link.type == "tile_bound":
            since, until = _stay(session, link)
            yield from _acts_at(session, link, since, until)


def _stay(session: Session, link: Link) -> tuple[str, str]:
    """From when to when a tile stood at a place: the first from the beginning, the last to the end."""
    here = (TraceRow.book == link.book, TraceRow.place == link.trace.place, TraceRow.type == "tile_bound")
    times = sorted(session.scalars(select(TraceRow.seen_at).where(*here, not_taken_back())))
    moved = (TraceRow.book == link.book, TraceRow.item == link.trace.item, TraceRow.type == "tile_bound")
    own = sorted(session.scalars(select(TraceRow.seen_at).where(*moved, not_taken_back())))
    later = [at for at in {*times, *own} if at > link.seen_at]
    first = link.seen_at in (times[:1] or [""]) and link.seen_at == own[0]
    return ("" if first else link.seen_at), min(later, default="9")


def _acts_at(session: Session, link: Link, since: str, until: str) -> Iterator[Look | Mend]:
    """Acts at checks that touch the tile at its place.

    A fault at a joint does not tell which of its two tiles it is about. An ok that answers a fault stands for
    its mend too.
    """
    wall, _, tile = (link.trace.place or "").partition("/")
    touching = (ActCheck.check.startswith(f"{wall}/"), ActCheck.check.contains(f"/{tile}/"))
    query = select(ActCheck.check, ActRow, LedgerEntry.kept_at)
    query = query.join(ActRow, (ActRow.book == ActCheck.book) & (ActRow.idx == ActCheck.idx))
    query = query.join(LedgerEntry, (LedgerEntry.book == ActRow.book) & (LedgerEntry.idx == ActRow.idx))
    gone = taken_back(session, link.book)
    for check, act, kept_at in session.execute(query.where(ActCheck.book == link.book, *touching)):
        covers = covered_by_check(check, tile)
        stood = since <= min(act.at, kept_at or act.at) < until
        if stood and covers and (act.entry, act.author) not in gone:
            span = (*_span(act.at, kept_at), act.entry, name_of(session, link.book, act.device))
            yield from _read_act(act, check, span, covers)


def _read_act(
    act: ActRow, check: str, span: tuple[str, str, str, str], covers: frozenset[str]
) -> Iterator[Look | Mend]:
    group = DAMAGE_OF_REASON.get(act.reason or "")
    if act.kind == "ok":
        if act.answers:
            yield Mend(*span, parts=covers)
        yield Look(*span, covers=covers)
    elif act.kind == "fault" and group in covers and check.split("/")[1] == "tile":
        yield Look(*span, covers=frozenset({group}), saw=frozenset({group}))
