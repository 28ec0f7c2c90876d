"""What things of a kind and type weigh, measure and cost: for freight lists, lifting, and what is missing."""

from typing import Any

from flask import Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.store.ledger.books import write_as_office
from seamwalk.store.stock.labels import company_book
from seamwalk.store.stock.prep import type_attributes
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.downloads import download
from seamwalk.web.office.stock.thing_forms import TypeForm
from seamwalk.web.services import services

_FIELDS = ("kind", "type", "mass_kg", "length_mm", "width_mm", "height_mm", "price", "currency")


@office.route("/types", methods=["GET", "POST"])
@area("shows")
def types() -> str | AnyResponse:
    """Describe a kind and type; the newest description holds."""
    form = TypeForm(request.form)
    if request.method == "POST" and form.validate():
        if (form.price.data is None) == (not form.currency.data):
            body = {name: _value(form[name].data) for name in _FIELDS}
            body["type"] = form.type.data or ""
            now = services().now()
            with services().store.write() as session:
                book = company_book(session, services().settings.company or "Company", now)
                write_as_office(session, book.id, "type_described", body, now)
            return redirect(url_for("office.types"))
        form.currency.errors = ["A price has a currency, nothing else does."]
    with services().store.read() as session:
        found = type_attributes(session)
    return render_template("office/types.html", form=form, types=sorted(found.items()))


@office.get("/types/types.<table:fmt>")
@area("stock")
def types_file(fmt: str) -> Response:
    """All descriptions as a table."""
    with services().store.read() as session:
        found = type_attributes(session)
    rows = [
        [("" if body[name] is None else str(body[name])) for name in _FIELDS]
        for _, body in sorted(found.items())
    ]
    return download([list(_FIELDS), *rows], fmt, "types", "Types")


def _value(value: Any) -> Any:
    """A number as JSON has it, "" as null."""
    if value is None or value == "":
        return None
    return value if isinstance(value, str) else float(value)
