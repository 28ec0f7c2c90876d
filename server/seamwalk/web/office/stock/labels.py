"""Labels: give new codes out, print them in true size, print them again, replace damaged ones."""

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from flask import Response, redirect, render_template, request, url_for
from flask import session as login
from sqlalchemy import select
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.domain.stock.codes import LETTER_OF_KIND, Code, parse_code
from seamwalk.errors import CodeError, Conflict, LabelError, NotFound
from seamwalk.printing.label_grid import LabelGrid
from seamwalk.printing.labels import Label, check_grid, label_wording, stream_labels
from seamwalk.store.stock.labels import company_book, register_items, relabel_item, revoke_labels
from seamwalk.store.stock_tables import Item
from seamwalk.web.inputs import read_query
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.stock.label_form import (
    MAX_LABELS,
    GridParams,
    LabelForm,
    RevokeForm,
    as_query,
    from_query,
)
from seamwalk.web.services import services

_RANGE = ".."
REMEMBERED = "label_grid"


@office.route("/labels", methods=["GET", "POST"])
@area("labels")
def labels() -> str | AnyResponse:
    """Choose labels and paper. Nothing is given out before a label of its kind fits on that paper."""
    form = LabelForm(request.form)
    if request.method == "GET" and REMEMBERED in login:
        form.remember(login[REMEMBERED])
    if request.method == "POST" and form.validate():
        try:
            grid = form.grid()
            _try_out(form, grid)
            chosen = [*_typed(form.codes.data), *_replaced(form), *_new(form)]
            if chosen:
                login[REMEMBERED] = asdict(grid)
                address: dict[str, Any] = {"codes": " ".join(chosen), **as_query(grid)}
                return redirect(url_for("office.label_print", **address))
            form.count.errors = ["Give how many new labels, or type codes to print again."]
        except (CodeError, NotFound) as error:
            form.codes.errors = [f"{error.message}. {error.remedy}"]
        except LabelError as error:
            form.page.errors = [f"{error.message}. {error.remedy}"]
        except Conflict as error:
            form.count.errors = [f"{error.message}. {error.remedy}"]
    return render_template("office/labels.html", form=form)


@office.route("/labels/revoke", methods=["GET", "POST"])
@area("labels")
def label_revoke() -> str | AnyResponse:
    """Revoke labels: whoever scans one is told so."""
    form = RevokeForm(request.form)
    if request.method == "POST" and form.validate():
        try:
            codes = [parse_code(text) for text in _typed(form.revoked.data)]
            now, title = services().now(), services().settings.company or "Company"
            with services().store.write() as session:
                revoke_labels(session, company_book(session, title, now), codes, form.reason.data, now)
            return redirect(url_for("office.labels"))
        except CodeError as error:
            form.revoked.errors = [f"{error.message}. {error.remedy}"]
    return render_template("office/label_revoke.html", form=form)


@office.get("/labels/print")
@area("labels")
def label_print() -> str:
    """How many labels on how many pages, from how far they read, and the way to the PDF."""
    codes, grid = _requested_labels()
    reads_cm = round(check_grid(grid, codes[0], label_wording(services().settings.company), _url()) / 10)
    address: dict[str, Any] = request.args.to_dict()
    pdf = url_for("office.label_pdf", **address)
    pages = grid.pages(len(codes))
    return render_template(
        "office/label_print.html", codes=codes, grid=grid, pages=pages, reads_cm=reads_cm, pdf=pdf
    )


@office.get("/labels/labels.pdf")
@area("labels")
def label_pdf() -> Response:
    """The PDF, sent page by page while it is drawn."""
    codes, grid = _requested_labels()
    wording = label_wording(services().settings.company, language())
    check_grid(grid, codes[0], wording, _url())
    with services().store.read() as session:
        found = list(_with_details(session, codes))
    answer = Response(stream_labels(found, grid, wording, _url()), mimetype="application/pdf")
    name = f"labels-{codes[0].text}-{len(codes)}.pdf"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _url() -> str:
    return services().settings.public_url


def _requested_labels() -> tuple[list[Code], LabelGrid]:
    """The codes and the paper of an address."""
    query = read_query(GridParams)
    grid = from_query(query)
    ranges = [_range(text) for text in query.codes.split()]
    count = sum(len(serials) for _, serials in ranges)
    if not 0 < count <= MAX_LABELS:
        message = f"codes: {count} labels cannot be printed at once"
        raise LabelError(message, f"Choose 1 to {MAX_LABELS} on the labels page.")
    return [Code(c.prefix, c.letter, serial) for c, serials in ranges for serial in serials], grid


def _range(text: str) -> tuple[Code, range]:
    """The first code of `first..last`, and its serials, none of them made yet."""
    first, _, last = text.partition(_RANGE)
    start = parse_code(first)
    end = parse_code(last).serial if last else start.serial
    return start, range(start.serial, end + 1)


def _with_details(session: Session, codes: list[Code]) -> Iterator[Label]:
    where = Item.code.between(min(c.text for c in codes), max(c.text for c in codes))
    types = {row.code: row.tile_type for row in session.scalars(select(Item).where(where))}
    return (Label(code, types.get(code.text) or "") for code in codes)


def _try_out(form: LabelForm, grid: LabelGrid) -> None:
    wording = label_wording(services().settings.company)
    codes = [parse_code(text) for text in [*_typed(form.codes.data), *_typed(form.damaged.data)]]
    if form.count.data or not codes:
        codes.append(Code(services().settings.label_prefix, LETTER_OF_KIND[form.kind.data], 1))
    for code in {code.letter: code for code in codes}.values():
        check_grid(grid, code, wording, _url())


def _typed(text: str | None) -> list[str]:
    return [parse_code(line).text for line in (text or "").splitlines() if line.strip()]


def _replaced(form: LabelForm) -> list[str]:
    damaged = [parse_code(text) for text in _typed(form.damaged.data)]
    if not damaged:
        return []
    now, title = services().now(), services().settings.company or "Company"
    with services().store.write() as session:
        book = company_book(session, title, now)
        return [relabel_item(session, book, code, now).text for code in damaged]


def _new(form: LabelForm) -> list[str]:
    """Register new codes; return them as one range."""
    if not form.count.data:
        return []
    now, settings = services().now(), services().settings
    with services().store.write() as session:
        codes = register_items(
            session,
            company_book(session, settings.company or "Company", now),
            prefix=settings.label_prefix,
            kind=form.kind.data,
            count=form.count.data,
            tile_type=form.tile_type.data or None,
            now=now,
        )
    return [f"{codes[0].text}{_RANGE}{codes[-1].text}"]
