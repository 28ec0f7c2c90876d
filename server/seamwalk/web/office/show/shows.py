"""The list of shows, a new show, and one show's page."""

from collections.abc import Sequence
from typing import Any

from flask import redirect, render_template, request, url_for
from sqlalchemy import func, select
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from seamwalk.domain.checks.checks import is_strike_check
from seamwalk.errors import Conflict, NotFound
from seamwalk.store.db import db
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import checks_file, count_states, name_of, walked_states, wall_states
from seamwalk.store.findings.stops import StopLine, stops_of
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.books import current_plans, list_books, open_book
from seamwalk.store.ledger.witness import contradictions
from seamwalk.store.show.anomalies import count_void
from seamwalk.store.show.editions import company_file, publish_edition
from seamwalk.store.tables import Device, Item, WallPlan
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.forms import OfficeForm, ShowForm
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services


@office.get("/")
@area("home")
def home() -> str:
    """Shows, and what the company's book counts."""
    session = db.session()
    shows = [(book, intake.size(session, book.id)) for book in list_books(session, "show")]
    counts = session.execute(select(Item.kind, func.count()).group_by(Item.kind).order_by(Item.kind)).all()
    return render_template("office/home.html", shows=shows, counts=counts, form=OfficeForm())


@office.route("/shows/new", methods=["GET", "POST"])
@area("shows")
def new_show() -> str | Response:
    """Open a show's book."""
    form = ShowForm(request.form)
    if request.method == "POST" and form.validate():
        try:
            with services().store.write() as session:
                title, slug = form.title.data, form.slug.data
                now = services().now()
                book = open_book(session, kind="show", title=title, slug=slug, now=now)
                publish_edition(session, book.id, company_file(session), now)
            return redirect(url_for("office.show", name=form.slug.data))
        except Conflict as error:
            form.slug.errors = [f"{error.message}. {error.remedy}"]
    return render_template("office/new_show.html", form=form)


@office.get("/shows/<name:name>")
@area("shows")
def show(name: str) -> str:
    """One show: its walls, phones, held entries and sign-offs."""
    session = db.session()
    book = show_book(session, name)
    stops = stops_of(session, book.id)
    walls = [_wall_row(session, plan, stops) for plan in current_plans(session, book.id)]
    devices = session.scalars(
        select(Device).where(Device.book == book.id).order_by(Device.admitted_idx)
    ).all()
    return render_template(
        "office/show.html",
        token_form=OfficeForm(),
        book=book,
        size=intake.size(session, book.id),
        walls=walls,
        devices=[(device, name_of(session, book.id, device.device)) for device in devices],
        held=intake.count_held(session, book.id),
        lost=contradictions(session, book.id),
        void=count_void(session, book.id),
        sign_offs=sign_offs(session, book.id),
    )


def _planned_checks(session: Session, plan: WallPlan) -> list[str]:
    """The checks that a wall is signed for; none while the plan's file is not here."""
    try:
        file = checks_file(session, plan)
    except NotFound:
        return []
    return [check["id"] for check in file["checks"] if not is_strike_check(check["id"])]


def _wall_row(session: Session, plan: WallPlan, stops: Sequence[StopLine]) -> dict[str, Any]:
    checks = _planned_checks(session, plan)
    states = walked_states(session, plan.book, plan.wall, wall_states(session, plan.book, plan.wall))
    own = [stop for stop in stops if stop.holds and stop.check.startswith(f"{plan.wall}/")]
    return {"plan": plan, "counts": count_states(checks, states), "stops": own}
