"""Lists of stock coming in: an upload is read, mapped and looked at before anything is applied."""

from flask import flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse
from wtforms import SelectField, TextAreaField

from seamwalk.domain.stock.stock_list import FIELDS, guess_columns, read_stock
from seamwalk.errors import TableError
from seamwalk.spreadsheets import MAX_COLUMNS, Table, read_table, write_csv
from seamwalk.store.stock.labels import company_book, import_stock, known_stock, publish_stock_list
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.forms import FileForm, OfficeForm, require_token
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services

_SHOWN_ROWS = 12
_SHOWN_PROBLEMS = 100
_NO_COLUMN = ""
_COLUMNS = frozenset(map(str, range(MAX_COLUMNS)))


class MappingForm(OfficeForm):
    """The list as text, and which of its columns says what; the fields' choices are the list's header."""

    text = TextAreaField()

    def columns(self) -> dict[str, int]:
        """Each field's column, those that have one."""
        typed = {field: self[field].data for field in FIELDS}
        return {field: int(at) for field, at in typed.items() if at in _COLUMNS}

    def offer(self, header: list[str], chosen: dict[str, int] | None = None) -> None:
        """Let people choose among a header's columns."""
        choices = {str(at): name for at, name in enumerate(header)}
        for field in FIELDS:
            self[field].choices = [_NO_COLUMN, *choices]
            if chosen is not None:
                self[field].data = str(chosen[field]) if field in chosen else _NO_COLUMN


for _field in FIELDS:
    setattr(MappingForm, _field, SelectField(choices=[], validate_choice=False))


@office.route("/stock", methods=["GET", "POST"])
@area("labels")
def stock() -> str:
    """Upload a list; what it says is shown, nothing is applied."""
    form = FileForm(request.form)
    upload = request.files.get("upload")
    if request.method == "POST" and form.validate() and upload is not None:
        try:
            table = read_table(upload.read(), upload.filename or "")
            return _preview(table, guess_columns(table[0]), MappingForm())
        except TableError as error:
            form.upload.errors = [f"{problem}. {problem.remedy}" for problem in error.problems]
    return render_template("office/stock.html", form=form, entries=None)


@office.post("/stock/list")
@area("labels")
def stock_list() -> str:
    """Look at a list again under another mapping, or apply it when nothing is wrong."""
    form = MappingForm(request.form)
    try:
        table = read_table((form.text.data or "").encode(), "list")
    except TableError as error:
        empty = FileForm()
        empty.upload.errors = [f"{problem}. {problem.remedy}" for problem in error.problems]
        return render_template("office/stock.html", form=empty, entries=None)
    columns = {field: at for field, at in form.columns().items() if at < len(table[0])}
    if "accept" not in request.form or not form.validate():
        return _preview(table, columns, form)
    settings, now = services().settings, services().now()
    with services().store.write() as session:
        known = known_stock(session, settings.label_prefix)
        reading = read_stock(table, columns, known)
        if reading.problems:
            return _preview(table, columns, form)
        book = company_book(session, settings.company or "Company", now)
        entries = import_stock(session, book, reading.rows, known, now)
    return render_template("office/stock.html", form=FileForm(), entries=entries, things=len(reading.rows))


def _preview(table: Table, columns: dict[str, int], form: MappingForm) -> str:
    with services().store.read() as session:
        reading = read_stock(table, columns, known_stock(session, services().settings.label_prefix))
    form.offer(table[0], columns)
    form.text.data = write_csv(table)
    return render_template(
        "office/stock_list.html",
        form=form,
        fields=FIELDS,
        header=table[0],
        rows=table[1 : 1 + _SHOWN_ROWS],
        reading=reading,
        problems=reading.problems[:_SHOWN_PROBLEMS],
        fresh=sum(not row.code for row in reading.rows),
    )


@office.post("/shows/<name:name>/stock")
@area("shows")
def publish_stock(name: str) -> AnyResponse:
    """Give a show's phones the stock list as it is now."""
    require_token()
    with services().store.write() as session:
        count = publish_stock_list(session, show_book(session, name).id, services().now())
    flash(translator("office", language())("show.stock_given", n=f"{count:,}"))
    return redirect(url_for("office.show", name=name))
