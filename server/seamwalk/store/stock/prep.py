"""What a show takes out of the warehouse: cases chosen from the stock as it stands, and its pick list."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.domain.frozen import canonical_json
from seamwalk.domain.sheet.pick_list import Pick, pick_list
from seamwalk.domain.stock.files import ListedCase, PrepFile
from seamwalk.domain.stock.prep import Contents, Prep, PrepCase, Tile, people_to_lift, prepare
from seamwalk.store.findings.states import planned_wall
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.books import current_plans, list_books, write_as_office
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.locations import Location, locate
from seamwalk.store.stock_tables import Item, TypeAttributesRow

# by kind and type; "" stands for every type of a kind
TypeAttributes = dict[tuple[str, str], dict[str, Any]]


@dataclass(frozen=True)
class CaseLoad:
    """A case as it leaves: its mass with what is planned to lie in it, and how many people lift it.

    Both are None where the company has not said what an empty case and a tile weigh, or what one may lift.
    """

    mass_kg: float | None
    people: int | None


@dataclass(frozen=True)
class ShowPrep:
    """A show's prep: its cases and what each comes to, and what else is picked."""

    prep: Prep
    picks: list[Pick]
    loaded: dict[str, CaseLoad]
    contents: dict[str, Contents]


def type_attributes(session: Session) -> TypeAttributes:
    """What the company says of things, by kind and type; "" stands for every type of a kind."""
    books = [book.id for book in list_books(session, "company")]
    rows = session.scalars(select(TypeAttributesRow).where(TypeAttributesRow.book.in_(books)))
    return {(row.kind, row.type): row.body for row in rows}


def contents_of_cases(session: Session, show: str | None = None) -> list[Contents]:
    """Every case as it stands now, with the tiles that lie in it and those whose home it is, by code.

    What is out at `show` counts as home: its prep has begun.
    """
    books = [book.id for book in list_books(session, "company")]
    at, states = locate(session), bench_states(session)
    inside: dict[str, list[Tile]] = defaultdict(list)
    belongs: dict[str, set[str]] = defaultdict(set)
    cases: list[str] = []
    for item in session.scalars(select(Item).where(Item.book.in_(books)).order_by(Item.code)):
        if item.kind == "case":
            cases.append(item.code)
        elif item.kind == "tile":
            if item.home_case:
                belongs[item.home_case].add(item.code)
            there, state = at.get(item.code), states.get(item.code)
            if there is not None and there.case and there.place is None:
                fit = state is None or state.may_go_out
                inside[there.case].append(Tile(item.code, item.tile_type or "", item.batch or "", fit))
    return [
        Contents(code, tuple(inside[code]), frozenset(belongs[code]), _is_here(at.get(code), show))
        for code in cases
    ]


def show_prep(session: Session, show: str, lift_kg: float | None) -> ShowPrep:
    """Choose a show's cases from the stock as it stands."""
    plans = current_plans(session, show)
    walls = [(plan.wall, planned_wall(session, plan)) for plan in plans]
    cases = contents_of_cases(session, show)
    prep = prepare(walls, cases)
    types = type_attributes(session)
    known = {case.code: case for case in cases}
    loaded = {made.case: _case_load(made, known.get(made.case), types, lift_kg) for made in prep.cases}
    return ShowPrep(prep, pick_list([wall.plan for _, wall in walls]), loaded, known)


def prep_file(made: ShowPrep) -> bytes:
    """A show's prep as its phones read it."""
    file: PrepFile = {
        "v": 1,
        "cases": [_listed(case, made.loaded[case.case]) for case in made.prep.cases],
        "truck": made.prep.truck_order(),
        "picks": [
            {
                "kind": pick.kind,
                "of": pick.of,
                "in_walls": pick.in_walls,
                "spares": pick.spares,
                "count": pick.in_walls + pick.spares,
            }
            for pick in made.picks
        ],
    }
    return canonical_json(file)


def _listed(case: PrepCase, loaded: CaseLoad) -> ListedCase:
    return {
        "case": case.case,
        "wall": case.wall,
        "tile_type": case.tile_type,
        "batch": case.batch,
        "tiles": case.tiles,
        "columns": list(case.columns),
        "first": case.first,
        "troubles": [{"key": trouble.key, "about": list(trouble.about)} for trouble in case.troubles],
        "substitute": case.substitute,
        "mass_kg": loaded.mass_kg,
        "people": loaded.people,
    }


def publish_prep(session: Session, show: str, lift_kg: float | None, now: datetime) -> int:
    """Give a show's phones its prep as it is now; return how many cases it names."""
    made = show_prep(session, show, lift_kg)
    body = {"prep_file": keep_blob(session, show, prep_file(made))}
    write_as_office(session, show, "prep_listed", body, now)
    return len(made.prep.truck_order())


def attributes_of(types: TypeAttributes, kind: str, of: str | None) -> dict[str, Any]:
    """What the company says of things of a kind and type, or of every type of the kind; empty for nothing."""
    return types.get((kind, of or "")) or types.get((kind, "")) or {}


def _is_here(where: Location | None, show: str | None) -> bool:
    return where is None or where.is_home or where.show == show


def _case_load(
    made: PrepCase, case: Contents | None, types: TypeAttributes, lift_kg: float | None
) -> CaseLoad:
    empty, tile = (attributes_of(types, kind, made.tile_type).get("mass_kg") for kind in ("case", "tile"))
    if empty is None or tile is None:
        return CaseLoad(None, None)
    mass = empty + tile * (len(case.tiles) if case else made.tiles)
    return CaseLoad(mass, people_to_lift(mass, lift_kg) if lift_kg else None)
