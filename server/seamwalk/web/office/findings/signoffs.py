"""A sign-off as a print page: what was stated, by whom, over what, whether it holds and what it left out."""

from collections import defaultdict
from dataclasses import dataclass

from flask import render_template
from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.book.seal import Seal
from seamwalk.domain.frozen import read_checks
from seamwalk.errors import NotFound, PlanError
from seamwalk.printing.qr import qr_symbol
from seamwalk.store.db import db
from seamwalk.store.findings.ahead import ahead_oks
from seamwalk.store.findings.pace import quick_oks
from seamwalk.store.findings.sign_offs import SignOffState, describe, find_plan
from seamwalk.store.findings.states import checks_file, planned_wall
from seamwalk.store.ledger.intake import newest_head
from seamwalk.store.tables import SignOff, WallPlan
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.drawing import Drawing, draw
from seamwalk.web.office.lookups import show_book


@office.get("/shows/<name:name>/sign-offs/<hash:entry>")
@area("shows")
def sign_off(name: str, entry: str) -> str:
    """The print page; its map shows the states that were signed, not the current ones."""
    session = db.session()
    book = show_book(session, name)
    row = session.scalars(select(SignOff).where(SignOff.book == book.id, SignOff.entry == entry)).first()
    if row is None:
        raise NotFound(f"sign-off {entry} is not in {book.title}", "Choose one from the show's page.")
    plan = find_plan(session, row)
    head = newest_head(session, book.id)
    seal = Seal(book.id, head.epoch, head.size, head.root, entry)
    (state,) = describe(session, book.id, [row])
    return render_template(
        "print/sign_off.html",
        book=book,
        plan=plan,
        state=state,
        seal=seal,
        qr=qr_symbol(seal.text),
        drawing=_drawn(session, plan, state),
        exceptions=_by_sentence(state),
        quick=quick_oks(session, book.id, state.states),
        ahead=ahead_oks(session, book.id, state.states),
    )


@dataclass(frozen=True)
class Exceptions:
    """Checks signed for as they are with one sentence; `lacks_person`: structural, and nobody is named."""

    reason: str
    person: str | None
    lacks_person: bool
    checks: list[str]


def _by_sentence(state: SignOffState) -> list[Exceptions]:
    """The exceptions of a sign-off by what was said of them, in the order in which they were said."""
    found: dict[tuple[str, str | None, bool], list[str]] = defaultdict(list)
    for item in state.body["exceptions"]:
        person = item.get("person") or None
        lacks = person is None and item["check"] in state.claim.unnamed
        found[item["reason"], person, lacks].append(item["check"])
    return [Exceptions(*said, checks) for said, checks in found.items()]


def _drawn(session: Session, plan: WallPlan | None, state: SignOffState) -> Drawing | None:
    """The wall as it was signed; None where its plan is not here."""
    if plan is None or plan.wall != state.body["wall"]:
        return None
    try:
        built, frozen = planned_wall(session, plan), checks_file(session, plan)
    except (NotFound, PlanError):
        return None
    return draw(built, read_checks(frozen), plan.wall, state.states, rear=False)
