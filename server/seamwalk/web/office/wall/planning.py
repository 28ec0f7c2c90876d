"""Planning a wall, by form or as JSON, with the build sheet of what is typed."""

import json
from typing import Any

from flask import redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from seamwalk.domain.wall.plan import parse_new_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.errors import Conflict, PlanError
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import current_plan, freeze_plan, set_plan
from seamwalk.store.stock.failures import learned_rates
from seamwalk.store.tables import Book
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.lookups import show_book
from seamwalk.web.office.sheet.plan_drawing import shown_sheet
from seamwalk.web.office.wall.plan_fields import HINTS, NEEDED, SECTIONS
from seamwalk.web.office.wall.plan_form import PlanForm, PlanJsonForm, field_of
from seamwalk.web.services import services


@office.route("/shows/<name:name>/plan", methods=["GET", "POST"])
@area("shows")
def plan_wall(name: str) -> str | Response:
    """Plan a wall by form; a plan that stands is filled in."""
    return _plan(name, PlanForm(request.form), "office/plan_form.html")


@office.route("/shows/<name:name>/plan-json", methods=["GET", "POST"])
@area("shows")
def plan_wall_json(name: str) -> str | Response:
    """Plan a wall as JSON, pasted or uploaded."""
    form = PlanJsonForm(request.form)
    upload = request.files.get("upload")
    if upload is not None and upload.filename:
        form.text.data = form.text.raw_data = upload.read().decode("utf-8", "replace")
    return _plan(name, form, "office/plan_json.html")


def _plan(name: str, form: PlanForm | PlanJsonForm, template: str) -> str | Response:
    """Set what was typed, or only show the sheet of it; what was wrong stands at its field, or above all."""
    with services().store.read() as session:
        book = show_book(session, name)
        if request.method == "GET":
            _fill(session, book, form)
        base = _standing(session, book, form.wall.data) if form.replaces.data else {}
    problems: list[Any] = []
    sheet = None
    whole = form.validate() if request.method == "POST" else bool(form.replaces.data)
    if whole:
        try:
            source = form.plan(base)
            plan = parse_new_plan(source)
            if request.method == "POST" and "sheet_only" not in request.form:
                return _set(name, book.id, form, source)
            sheet = shown_sheet(build_wall(plan), rear=False)
        except (PlanError, Conflict) as error:
            problems = _at_fields(form, error)
    words = {"sections": SECTIONS, "needed": NEEDED, "hints": HINTS}
    return render_template(template, book=book, form=form, problems=problems, sheet=sheet, **words)


def _set(name: str, book_id: str, form: PlanForm | PlanJsonForm, source: dict[str, Any]) -> Response:
    wall, replaces = form.wall.data, form.replaces.data or None
    frozen = freeze_plan(wall, source)
    with services().store.write() as session:
        set_plan(session, book_id, frozen, replaces=replaces, now=services().now())
    return redirect(url_for("office.wall", name=name, wall=wall))


def _at_fields(form: PlanForm | PlanJsonForm, error: PlanError | Conflict) -> list[Any]:
    """Put each problem at its field; return those that have none."""
    if isinstance(error, Conflict):
        return [error]
    left = []
    for problem in error.problems:
        field = field_of(problem.path) if isinstance(form, PlanForm) else None
        if field is None:
            left.append(problem)
        else:
            form[field].errors = [*form[field].errors, f"{problem}. {problem.remedy}"]
    return left


def _fill(session: Session, book: Book, form: PlanForm | PlanJsonForm) -> None:
    """Start from the wall named in the address, as it stands; a new one knows what parts failed so far."""
    wall = request.args.get("wall")
    plan = current_plan(session, book.id, wall) if wall else None
    if plan is not None:
        form.wall.data, form.replaces.data = plan.wall, plan.entry
        form.fill(_standing(session, book, plan.wall))
    elif isinstance(form, PlanForm):
        form.fill({"spares": {"learned": learned_rates(session)}})


def _standing(session: Session, book: Book, wall: str) -> dict[str, Any]:
    """A wall's plan as it was written, empty where there is none."""
    plan = current_plan(session, book.id, wall)
    data = read_blob(session, book.id, plan.plan_file) if plan else None
    source: dict[str, Any] = json.loads(data) if data else {}
    return source
