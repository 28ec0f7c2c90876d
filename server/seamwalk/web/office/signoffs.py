"""A sign-off as a print page: what was stated, by whom, over what, and whether it holds."""

from flask import render_template
from sqlalchemy import select

from seamwalk.book.seal import Seal
from seamwalk.domain.checks import built_checks
from seamwalk.errors import NotFound
from seamwalk.printing.qr import qr_symbol
from seamwalk.store.ledger import newest_head
from seamwalk.store.states import covered_states, describe_sign_off, planned_wall
from seamwalk.store.tables import SignOff, WallPlan
from seamwalk.web.office import office
from seamwalk.web.office.context import area
from seamwalk.web.office.drawing import draw
from seamwalk.web.office.shows import show_book
from seamwalk.web.services import services


@office.get("/shows/<name>/sign-offs/<entry>")
@area("shows")
def sign_off(name: str, entry: str) -> str:
    """The print page; its map shows the states that were signed, not those of now."""
    with services().store.read() as session:
        book = show_book(session, name)
        row = session.scalars(select(SignOff).where(SignOff.book == book.id, SignOff.entry == entry)).first()
        if row is None:
            raise NotFound(f"sign-off {entry} is not in {book.title}", "Choose one from the show's page.")
        plan = session.get_one(WallPlan, (book.id, row.body["plan"]))
        built = planned_wall(session, plan)
        head = newest_head(session, book.id)
        seal = Seal(book.id, head.epoch, head.size, head.root, entry)
        states = covered_states(session, row)
        return render_template(
            "print/sign_off.html",
            book=book,
            plan=plan,
            state=describe_sign_off(session, row),
            seal=seal,
            qr=qr_symbol(seal.text),
            drawing=draw(built, built_checks(built), row.wall, states, rear=False),
        )
