"""A show's prep: its cases with what speaks against each, the truck, lists of masses, manifests, labels."""

from typing import Any

from flask import Response, flash, redirect, render_template, url_for
from flask import session as login
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.domain.stock.codes import parse_code
from seamwalk.printing.label_grid import LabelGrid
from seamwalk.printing.labels import Label, check_grid, label_wording, stream_labels
from seamwalk.store.stock.labels import publish_stock_list
from seamwalk.store.stock.prep import (
    ShowPrep,
    TypeAttributes,
    attributes_of,
    publish_prep,
    show_prep,
    type_attributes,
)
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.downloads import download
from seamwalk.web.office.forms import OfficeForm, require_token
from seamwalk.web.office.lookups import show_book
from seamwalk.web.office.stock.labels import REMEMBERED
from seamwalk.web.services import services

_FREIGHT = ("truck", "case", "wall", "columns", "tiles", "mass_kg", "length_mm", "width_mm", "height_mm")
_SIZES = ("length_mm", "width_mm", "height_mm", "price", "currency")
_LABEL_SHEET = LabelGrid(210, 297, columns=2, rows=4, margin_x_mm=7, margin_y_mm=8)


def _show_prep(name: str) -> tuple[Any, ShowPrep, TypeAttributes]:
    with services().store.read() as session:
        book = show_book(session, name)
        return book, show_prep(session, book.id, services().settings.lift_kg), type_attributes(session)


@office.get("/shows/<name:name>/prep")
@area("stock")
def prep(name: str) -> str:
    """The cases in the order of the build, and what else is picked."""
    book, made, _ = _show_prep(name)
    return render_template("office/prep.html", book=book, made=made, truck=_truck(made), form=OfficeForm())


@office.post("/shows/<name:name>/prep")
@area("stock")
def publish_prep_list(name: str) -> AnyResponse:
    """Give a show's phones its cases, and the stock list that they are told apart by."""
    require_token()
    now = services().now()
    with services().store.write() as session:
        book = show_book(session, name)
        count = publish_prep(session, book.id, services().settings.lift_kg, now)
        publish_stock_list(session, book.id, now)
    flash(translator("office", language())("prep.given", n=count))
    return redirect(url_for("office.prep", name=name))


@office.get("/shows/<name:name>/prep/freight.<table:fmt>")
@area("stock")
def freight(name: str, fmt: str) -> Response:
    """Every case with its mass and size, in the order of the truck."""
    book, made, types = _show_prep(name)
    title = translator("office", language())("prep.freight", show=book.title)
    return download(
        [[*_FREIGHT, "price", "currency"], *_freight_rows(made, types)], fmt, f"{name}-cases", title
    )


@office.get("/shows/<name:name>/prep/manifests")
@area("stock")
def manifests(name: str) -> str:
    """What should lie in each case, one page a case."""
    book, made, _ = _show_prep(name)
    return render_template("print/manifests.html", book=book, made=made, truck=_truck(made))


@office.get("/shows/<name:name>/prep/labels.pdf")
@area("stock")
def case_labels(name: str) -> Response:
    """A label for each case that says wall, columns and place in the truck, on the paper used last."""
    _, made, _ = _show_prep(name)
    t = translator("office", language())
    grid = LabelGrid(**login[REMEMBERED]) if REMEMBERED in login else _LABEL_SHEET
    wording = label_wording(services().settings.company, language())
    url = services().settings.public_url
    labels = [
        Label(parse_code(case), _destination(made, case, t, number))
        for case, number in _truck(made).items()
        if case in made.contents
    ]
    if labels:
        check_grid(grid, labels[0].code, wording, url)
    answer = Response(stream_labels(labels, grid, wording, url), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}-case-labels.pdf"'
    return answer


def _truck(made: ShowPrep) -> dict[str, int]:
    """Each case's number in the truck, from 1."""
    return {case: number for number, case in enumerate(made.prep.truck_order(), start=1)}


def _destination(made: ShowPrep, case: str, t: Any, number: int) -> str:
    own = [item for item in made.prep.cases if item.case == case]
    places = "; ".join(f"{item.wall} {','.join(map(str, item.columns))}" for item in own)
    return str(t("prep.label", places=places, n=number))


def _freight_rows(made: ShowPrep, types: TypeAttributes) -> list[list[str]]:
    rows = []
    for case, number in _truck(made).items():
        own = [item for item in made.prep.cases if item.case == case]
        of = own[0].tile_type
        attributes = attributes_of(types, "case", of)
        inside = len(made.contents[case].tiles) if case in made.contents else sum(item.tiles for item in own)
        cells = [number, case, *_where(own), inside, made.loaded[case].mass_kg]
        rows.append([_cell(value) for value in (*cells, *(attributes.get(name) for name in _SIZES))])
    return rows


def _where(own: list[Any]) -> tuple[str, str]:
    columns = sorted({column for item in own for column in item.columns})
    return " ".join(dict.fromkeys(item.wall for item in own)), " ".join(map(str, columns))


def _cell(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:g}" if isinstance(value, float) else str(value)
