"""A wall's build sheet, its cable plan and a show's pick list as pages to print."""

from collections.abc import Iterable

from flask import Response, render_template, request
from sqlalchemy.orm import Session

from seamwalk.domain.sheet.cables import tile_cables
from seamwalk.domain.sheet.pick_list import Pick, pick_list
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.errors import NotFound
from seamwalk.store.db import db
from seamwalk.store.findings.states import planned_wall
from seamwalk.store.ledger.books import current_plans
from seamwalk.store.tables import WallPlan
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.downloads import download
from seamwalk.web.office.lookups import plan_of, show_book
from seamwalk.web.office.sheet.cable_drawing import cable_map
from seamwalk.web.office.sheet.plan_drawing import shown_sheet


@office.get("/shows/<name:name>/walls/<wall:wall>/sheet")
@area("shows")
def sheet(name: str, wall: str) -> str:
    """The sheet; its cable map is mirrored for whoever stands behind the wall."""
    session = db.session()
    book = show_book(session, name)
    plan = plan_of(session, book, wall)
    built = planned_wall(session, plan)
    shown = shown_sheet(built, rear=request.args.get("view") == "rear")
    return render_template("print/sheet.html", book=book, plan=plan, sheet=shown)


@office.get("/shows/<name:name>/walls/<wall:wall>/cables")
@area("shows")
def cable_plan(name: str, wall: str) -> str:
    """The cable plan: both maps, each circuit and run tile by tile; a tapped tile says what feeds it."""
    session = db.session()
    book = show_book(session, name)
    plan = plan_of(session, book, wall)
    built = planned_wall(session, plan)
    worked_out = build_sheet(built.plan)
    tapped = request.args.get("tile")
    cables = tile_cables(worked_out)
    if tapped is not None and tapped not in cables:
        raise NotFound(f"tile {tapped} has no cable in wall {wall}", "Tap a tile of the map.")
    return render_template(
        "print/cables.html",
        book=book,
        plan=plan,
        supply=built.plan.supply,
        sheet=worked_out,
        maps=[(rear, cable_map(built, worked_out, rear=rear)) for rear in (False, True)],
        tapped=tapped,
        cables=cables.get(tapped or ""),
    )


@office.get("/shows/<name:name>/pick-list")
@area("shows")
def pick(name: str) -> str:
    """What all walls of a show take out of the warehouse, spares included."""
    session = db.session()
    book = show_book(session, name)
    plans = current_plans(session, book.id)
    return render_template("print/pick_list.html", book=book, plans=plans, picks=_picks(session, plans))


@office.get("/shows/<name:name>/pick-list.<table:fmt>")
@area("shows")
def pick_file(name: str, fmt: str) -> Response:
    """The pick list as a table."""
    session = db.session()
    book = show_book(session, name)
    rows = [["part", "of", "in_walls", "spares", "out"]]
    for item in _picks(session, current_plans(session, book.id)):
        counts = (item.in_walls, item.spares, item.in_walls + item.spares)
        rows.append([item.kind, item.of, *map(str, counts)])
    return download(rows, fmt, f"{name}-pick-list", book.title)


def _picks(session: Session, plans: Iterable[WallPlan]) -> list[Pick]:
    return pick_list(planned_wall(session, plan).plan for plan in plans)
