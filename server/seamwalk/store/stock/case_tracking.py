"""A show's cases as they went out and came back, what went out and was not seen again, and handovers."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry
from seamwalk.book.parsing import read_kept
from seamwalk.domain.stock.cases import Cases, CaseState, Closing, Sighting
from seamwalk.store.entry_ids import kept_ids, of_type
from seamwalk.store.findings.states import name_of, withdrawn_entries
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import list_books, read_salted_text
from seamwalk.store.rows import among
from seamwalk.store.stock.locations import locate
from seamwalk.store.stock.movement_entries import movement_entries
from seamwalk.store.stock.prep import attributes_of, type_attributes
from seamwalk.store.tables import BindingRow, Item, LedgerEntry, MovementRow

STAGES = ("prep", "load_in", "load_out", "return")


@dataclass(frozen=True)
class CaseAtStage:
    """A case at a stage: what is expected in it, and how it stands."""

    case: str
    expected: tuple[str, ...]
    state: CaseState


@dataclass(frozen=True)
class MissingItem:
    """A thing that went out to a show and was not seen in any case that came back.

    `neighbours` counts, by case, the tiles that stood beside it in the wall and came home there; `price` is
    the company's own figure.
    """

    item: str
    tile_type: str | None
    seen_at: str
    seen_by: str
    place: str | None
    case: str | None
    home_case: str | None
    neighbours: tuple[tuple[str, int], ...]
    strangers: tuple[str, ...]
    price: float | None
    currency: str | None


@dataclass(frozen=True)
class HireHandover:
    """A handover between two companies, and what the other side said to it."""

    entry: str
    at: str
    by: str
    party: str
    body: dict[str, Any]
    answers: tuple[dict[str, Any], ...]
    differs: tuple[tuple[str, str], ...]


def cases_of(session: Session, book: str) -> Cases:
    """What lies in the cases of a show, as people wrote it down."""
    sightings, closings = [], []
    mine = (MovementRow.book == book, MovementRow.type.in_(("item_seen", "case_closed")))
    for entry, author in movement_entries(session, *mine):
        body = entry.body
        if entry.type == "item_seen":
            items, replaces = tuple(body["items"]), tuple(body.get("replaces") or ())
            where = (body["case"], body["stage"], replaces, entry.other_id)
            sightings.append(Sighting(entry.id, author, items, *where))
        else:
            items_then = frozenset(body["items"])
            closings.append(Closing(entry.id, author, body["case"], body["stage"], items_then))
    return Cases(sightings, closings)


def cases_at_stage(session: Session, book: str, stage: str, cases: Cases | None = None) -> list[CaseAtStage]:
    """Every case that was seen at prep or at this stage, measured against what went out in it."""
    all_ = cases or cases_of(session, book)
    names = sorted({*all_.cases_at("prep"), *all_.cases_at(stage)})
    homes = _homes(session, names)
    found = []
    for case in names:
        out = [] if stage == "prep" else all_.items_in("prep", case)
        expected = out or homes[case]
        found.append(CaseAtStage(case, tuple(expected), all_.state(stage, case, expected)))
    return found


def missing_items(session: Session, book: str) -> list[MissingItem]:
    """What went out and was not seen again, once a case of the show has come back."""
    cases = cases_of(session, book)
    if not cases.cases_at("return"):
        return []
    back = set(cases.items_at("return"))
    back |= set(cases.cases_at("return"))
    out = [item for item in (*cases.items_at("prep"), *cases.cases_at("prep")) if item not in back]
    where, places, types = locate(session, out), _places(session, book), type_attributes(session)
    books = [row.id for row in list_books(session, "company")]
    mine = (Item.book.in_(books), among(session, Item.code, out))
    items = {item.code: item for item in session.scalars(select(Item).where(*mine))}
    strangers = tuple(
        made.case for made in cases_at_stage(session, book, "return", cases) if made.state.foreign
    )
    found = []
    for code in out:
        seen, item = where.get(code), items.get(code)
        if seen is None or seen.is_home or seen.show != book:
            continue
        fields = attributes_of(types, item.kind, item.tile_type) if item else {}
        place = places.get(code)
        found.append(
            MissingItem(
                code,
                item.tile_type if item else None,
                seen.seen_at,
                name_of(session, seen.book, seen.device),
                place,
                next(iter(cases.cases_of("prep", code)), None),
                item.home_case if item else None,
                _came_home_in(cases, places, place),
                strangers,
                fields.get("price"),
                fields.get("currency"),
            )
        )
    return found


def handovers(session: Session, book: str) -> list[HireHandover]:
    """A show's handovers, newest first; `differs` names what another one of the show says otherwise."""
    mine = (MovementRow.book == book, MovementRow.type == "hire_handed_over")
    made = [entry for entry, _ in movement_entries(session, *mine)]
    answers = _answers(session, book) if made else {}
    return [
        HireHandover(
            entry.id,
            entry.at,
            name_of(session, book, entry.device),
            _text(session, book, entry.body["party_blob"]),
            entry.body,
            tuple(item | {"own_phone": item["device"] != entry.device} for item in answers.get(entry.id, ())),
            tuple(_differences(entry, made)),
        )
        for entry in reversed(made)
    ]


def _answers(session: Session, book: str) -> dict[str, list[dict[str, Any]]]:
    """What was said to each handover, by its entry; what its author took back was not said."""
    query = select(LedgerEntry.jws).where(of_type(book, "countersigned"))
    gone = {entry for entry, _ in withdrawn_entries(session, book)}
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    answers = [read_kept(jws) for jws in session.scalars(query.order_by(LedgerEntry.idx))]
    kept = kept_ids(session, book, {entry.body["entry"] for entry in answers})
    for entry in answers:
        fields = {"agrees": entry.body["agrees"], "at": entry.at, "device": entry.device}
        fields |= {name: _text(session, book, entry.body.get(f"{name}_blob")) for name in ("name", "note")}
        if entry.id not in gone:
            found[kept.get(entry.body["entry"], entry.body["entry"])].append(fields)
    return found


def _differences(entry: Entry, others: list[Entry]) -> list[tuple[str, str]]:
    return sorted(
        {
            (field, other.body[field])
            for other in others
            for field in ("firmware", "configuration")
            if entry.body[field] and other.body[field] and other.body[field] != entry.body[field]
        }
    )


def _text(session: Session, book: str, name: str | None) -> str:
    return read_salted_text(read_blob(session, book, name)) or ""


def _homes(session: Session, cases: list[str]) -> dict[str, list[str]]:
    books = [row.id for row in list_books(session, "company")]
    found: dict[str, list[str]] = {case: [] for case in cases}
    query = select(Item.code, Item.home_case).where(Item.book.in_(books), Item.home_case.in_(cases))
    for code, home in session.execute(query.order_by(Item.code)):
        found[home or ""].append(code)
    return found


def _places(session: Session, book: str) -> dict[str, str]:
    """Where each labelled tile stood in a show's walls, by its newest binding."""
    rows = session.scalars(select(BindingRow).where(BindingRow.book == book).order_by(BindingRow.at))
    return {row.name: f"{row.wall}/{row.tile}" for row in rows}


def _came_home_in(cases: Cases, places: dict[str, str], place: str | None) -> tuple[tuple[str, int], ...]:
    """In which cases the tiles beside a place came home, most first."""
    if place is None:
        return ()
    beside = [code for code, other in places.items() if _is_beside(place, other)]
    found = Counter(case for code in beside for case in cases.cases_of("return", code) if case)
    return tuple(found.most_common())


def _is_beside(first: str, second: str) -> bool:
    wall, column, row = _at(first)
    other_wall, other_column, other_row = _at(second)
    return wall == other_wall and abs(column - other_column) + abs(row - other_row) == 1


def _at(place: str) -> tuple[str, int, int]:
    wall, _, tile = place.partition("/")
    column, row = tile.partition("x")[0].split(".")
    return wall, int(column), int(row)
