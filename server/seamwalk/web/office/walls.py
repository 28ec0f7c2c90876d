"""Planning a wall, by form or as JSON, and its map with the state of every joint."""

import json
from typing import Any

from flask import redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from seamwalk.domain.checks import wall_checks
from seamwalk.domain.plan import parse_plan
from seamwalk.errors import Conflict, NotFound, PlanError
from seamwalk.store.blobs import read_blob
from seamwalk.store.books import current_plan, set_plan
from seamwalk.store.reasons import Reason, reasons
from seamwalk.store.states import (
    checks_file,
    count_states,
    planned_wall,
    sign_offs,
    standing_acts,
    wall_states,
)
from seamwalk.store.tables import Book, WallPlan
from seamwalk.texts import translator
from seamwalk.web.office import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.drawing import draw
from seamwalk.web.office.forms import PLAN_FIELDS, PlanForm, PlanJsonForm, field_of, json_text
from seamwalk.web.office.shows import show_book
from seamwalk.web.services import services


@office.route("/shows/<name>/plan", methods=["GET", "POST"])
@area("shows")
def plan_wall(name: str) -> str | Response:
    """Plan a wall by form; an existing full-grid plan of one tile type is filled in."""
    form = PlanForm(request.form)
    with services().store.read() as session:
        book = show_book(session, name)
        if request.method == "GET":
            _fill(session, book, form)
    problems: list[Any] = []
    if request.method == "POST" and form.validate():
        try:
            return _set(name, book.id, form, form.plan())
        except (PlanError, Conflict) as error:
            problems = _at_fields(form, error)
    return render_template("office/plan_form.html", book=book, form=form, problems=problems)


@office.route("/shows/<name>/plan-json", methods=["GET", "POST"])
@area("shows")
def plan_wall_json(name: str) -> str | Response:
    """Plan a wall as JSON, pasted or uploaded."""
    form = PlanJsonForm(request.form)
    upload = request.files.get("upload")
    if upload is not None and upload.filename:
        form.text.data = form.text.raw_data = upload.read().decode("utf-8", "replace")
    with services().store.read() as session:
        book = show_book(session, name)
        if request.method == "GET":
            _fill_json(session, book, form)
    problems: list[Any] = []
    if request.method == "POST" and form.validate():
        try:
            return _set(name, book.id, form, _read_json(form.text.data))
        except PlanError as error:
            problems = list(error.problems)
        except Conflict as error:
            problems = [error]
    return render_template("office/plan_json.html", book=book, form=form, problems=problems)


def _read_json(text: str) -> dict[str, Any]:
    parse_plan(text)
    return dict(json.loads(text))


def _set(name: str, book_id: str, form: Any, source: dict[str, Any]) -> Response:
    with services().store.write() as session:
        wall, replaces = form.wall.data, form.replaces.data or None
        set_plan(session, book_id, wall=wall, source=source, replaces=replaces, now=services().now())
    return redirect(url_for("office.wall", name=name, wall=wall))


def _at_fields(form: PlanForm, error: PlanError | Conflict) -> list[Any]:
    """Put each problem at its field; return those that have none."""
    if isinstance(error, Conflict):
        return [error]
    left = []
    for problem in error.problems:
        field = field_of(problem.path)
        if field is None:
            left.append(problem)
        else:
            form[field].errors = [*form[field].errors, f"{problem}. {problem.remedy}"]
    return left


def _source(session: Session, book: Book) -> tuple[WallPlan, dict[str, Any]] | None:
    """The plan to start from: the wall named in the address, as it stands."""
    wall = request.args.get("wall")
    plan = current_plan(session, book.id, wall) if wall else None
    data = read_blob(session, book.id, plan.plan_file) if plan else None
    return (plan, json.loads(data)) if plan and data else None


def _fill(session: Session, book: Book, form: PlanForm) -> None:
    found = _source(session, book)
    if found is None:
        return
    plan, source = found
    form.wall.data, form.replaces.data = plan.wall, plan.entry
    for field, path in PLAN_FIELDS.items():
        value: Any = source
        for part in path:
            value = value.get(part) if isinstance(value, dict) else None
        if value is not None:
            form[field].data = " ".join(map(str, value)) if isinstance(value, list) else value


def _fill_json(session: Session, book: Book, form: PlanJsonForm) -> None:
    found = _source(session, book)
    if found is not None:
        plan, source = found
        form.wall.data, form.replaces.data, form.text.data = plan.wall, plan.entry, json_text(source)


@office.get("/shows/<name>/walls/<wall>")
@area("shows")
def wall(name: str, wall: str) -> str:
    """A wall's map, what stands in the way, and its sign-offs."""
    with services().store.read() as session:
        book = show_book(session, name)
        plan = plan_of(session, book, wall)
        states = wall_states(session, book.id, wall)
        frozen = checks_file(session, plan)
        ids = [check["id"] for check in frozen["checks"]]
        rear = request.args.get("view") == "rear"
        built = planned_wall(session, plan)
        why = {check: in_words(reason) for check, reason in reasons(session, book.id, wall).items()}
        return render_template(
            "office/wall.html",
            book=book,
            plan=plan,
            why=why,
            drawing=draw(built, wall_checks(built), wall, states, rear=rear, why=why),
            rear=rear,
            numbers=count_states(ids, states),
            walks=[(walk["key"], _walk_counts(walk, ids, states)) for walk in frozen["walks"]],
            faults=standing_acts(session, book.id, states),
            sign_offs=sign_offs(session, book.id, wall),
            warnings=built.warnings,
        )


def in_words(reason: Reason) -> str:
    """Why a check stands as it does, in a sentence."""
    return translator("office", language())(f"reasons.{reason.key}", **reason.words)


def _walk_counts(walk: dict[str, Any], ids: list[str], states: Any) -> dict[str, int]:
    return count_states([ids[index] for stop in walk["stops"] for index in stop["checks"]], states)


def plan_of(session: Session, book: Book, wall: str) -> WallPlan:
    """A wall's plan that stands; raise NotFound."""
    plan = current_plan(session, book.id, wall)
    if plan is None:
        raise NotFound(f"wall {wall} has no plan in {book.title}", "Plan it, or choose another wall.")
    return plan
