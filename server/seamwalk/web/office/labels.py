"""A plain A4 sheet of QR labels for cases and tiles."""

from flask import redirect, render_template, request, url_for
from sqlalchemy import func, select
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from seamwalk.domain.codes import LETTER_OF_KIND, MAX_SERIAL, Code, parse_code
from seamwalk.errors import CodeError, Conflict
from seamwalk.printing.labels import sheets
from seamwalk.store.books import list_books, open_book, write_many_as_office
from seamwalk.store.tables import Book, Item
from seamwalk.web.office import office
from seamwalk.web.office.context import area
from seamwalk.web.office.forms import LabelForm
from seamwalk.web.services import services


@office.route("/labels", methods=["GET", "POST"])
@area("labels")
def labels() -> str | Response:
    """Make new codes, or print given ones again."""
    form = LabelForm(request.form)
    if request.method == "POST" and form.validate():
        try:
            codes = [*_typed(form.codes.data or ""), *_new(form)]
            if codes:
                return redirect(url_for("office.label_sheet", codes=" ".join(code.text for code in codes)))
            form.count.errors = ["Give how many new labels, or type codes to print again."]
        except CodeError as error:
            form.codes.errors = [f"{error.message}. {error.remedy}"]
        except Conflict as error:
            form.count.errors = [f"{error.message}. {error.remedy}"]
    return render_template("office/labels.html", form=form)


@office.get("/labels/sheet")
@area("labels")
def label_sheet() -> str:
    """The sheet itself, to be printed at 100 %."""
    codes = [parse_code(text) for text in request.args.get("codes", "").split()]
    return render_template("print/labels.html", sheets=sheets(codes, services().settings.public_url))


def _typed(text: str) -> list[Code]:
    return [parse_code(line) for line in text.splitlines() if line.strip()]


def _new(form: LabelForm) -> list[Code]:
    """Register new serials in the company's book."""
    count, kind = form.count.data or 0, form.kind.data
    if count == 0:
        return []
    with services().store.write() as session:
        book = company_book(session)
        first = _last_serial(session, book, kind) + 1
        if first + count - 1 > MAX_SERIAL:
            raise Conflict(f"count: serials of {kind} end at {MAX_SERIAL}", "Use another label prefix.")
        prefix, letter = services().settings.label_prefix, LETTER_OF_KIND[kind]
        codes = [Code(prefix, letter, serial) for serial in range(first, first + count)]
        tile_type = form.tile_type.data or None
        bodies = [
            {"item": code.text, "kind": kind, "tile_type": tile_type, "home_case": None} for code in codes
        ]
        write_many_as_office(
            session, book.id, [("item_registered", body) for body in bodies], services().now()
        )
    return codes


def company_book(session: Session) -> Book:
    """The company's book, opened when it is first needed."""
    books = list_books(session, "company")
    if books:
        return books[0]
    title = services().settings.company or "Company"
    return open_book(session, kind="company", title=title, slug="company", now=services().now())


def _last_serial(session: Session, book: Book, kind: str) -> int:
    where = (Item.book == book.id, Item.kind == kind)
    last = session.scalar(select(func.max(Item.code)).where(*where))
    return parse_code(last).serial if last else 0
