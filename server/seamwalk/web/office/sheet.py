"""A wall's build sheet as a page to print."""

from flask import render_template, request

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
