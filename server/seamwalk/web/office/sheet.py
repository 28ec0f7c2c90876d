"""A wall's build sheet and a show's pick list as pages to print."""

from flask import render_template, request

from seamwalk.domain.pick_list import pick_list
from seamwalk.store.books import current_plans
from seamwalk.store.states import planned_wall
from seamwalk.web.office import office
from seamwalk.web.office.context import area
from seamwalk.web.office.sheet_drawing import shown_sheet
from seamwalk.web.office.shows import show_book
from seamwalk.web.office.walls import plan_of
from seamwalk.web.services import services


@office.get("/shows/<name>/walls/<wall>/sheet")
@area("shows")
def sheet(name: str, wall: str) -> str:
    """The sheet; its cable map is mirrored for whoever stands behind the wall."""
    with services().store.read() as session:
        book = show_book(session, name)
        plan = plan_of(session, book, wall)
        built = planned_wall(session, plan)
    shown = shown_sheet(built, rear=request.args.get("view") == "rear")
    return render_template("print/sheet.html", book=book, plan=plan, sheet=shown)


@office.get("/shows/<name>/pick-list")
@area("shows")
def pick(name: str) -> str:
    """What all walls of a show take out of the warehouse, spares included."""
    with services().store.read() as session:
        book = show_book(session, name)
        plans = current_plans(session, book.id)
        picks = pick_list(planned_wall(session, plan).plan for plan in plans)
    return render_template("print/pick_list.html", book=book, plans=plans, picks=picks)
