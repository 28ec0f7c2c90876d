"""The things of the stock: a search that answers while one types, edits of many, the history of one."""

from typing import Annotated, Any

from flask import Response, flash, redirect, render_template, request, url_for
from pydantic import StringConstraints
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.domain.stock.codes import parse_code
from seamwalk.errors import CodeError, Conflict, NotFound
from seamwalk.store.db import db
from seamwalk.store.stock.claims import claims
from seamwalk.store.stock.custody import HistoryEntry, custody, history
from seamwalk.store.stock.labels import company_book, find_item
from seamwalk.store.stock.locations import locate
from seamwalk.store.stock.prep import TypeAttributes, attributes_of, type_attributes
from seamwalk.store.stock.search import (
    ItemQuery,
    Row,
    delete_list,
    edit_items,
    edits,
    rows_of,
    save_list,
    saved_lists,
    search,
    undo_edit,
)
from seamwalk.store.tables import Item
from seamwalk.texts import translator
from seamwalk.web.inputs import QueryParams, read_query
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.downloads import download
from seamwalk.web.office.forms import require_token
from seamwalk.web.office.paging import page_of
from seamwalk.web.office.stock.thing_forms import STATUSES, ClaimForm, EditForm, ListForm
from seamwalk.web.services import services

_SHOWN = 50
_COLUMNS = ("code", "kind", "tile_type", "batch", "maker_serial", "home_case")
_SEEN = ("in_case", "show", "place", "seen_at", "state")


Line = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]


class SearchParams(QueryParams):
    """A search as an address carries it."""

    text: Line = ""
    kind: Line = ""
    status: Line = ""


def searched() -> ItemQuery:
    """The search of an address."""
    return ItemQuery(**read_query(SearchParams).model_dump())


@office.get("/things")
@area("stock")
def things() -> str:
    """Search, and what can be done with what was found."""
    return _page(EditForm())


@office.get("/things/found")
@area("stock")
def things_found() -> str:
    """Only what a search finds: asked for while somebody types."""
    query = searched()
    return render_template("office/_found.html", query=query, **_page_of(query))


@office.get("/things/found.<table:fmt>")
@area("stock")
def things_file(fmt: str) -> Response:
    """All that a search finds, as a table."""
    session = db.session()
    items = session.scalars(search(session, searched())).all()
    table = [[*_COLUMNS, *_SEEN], *(_cells(row) for row in rows_of(session, items))]
    title = translator("office", language())("things.title")
    return download(table, fmt, "stock", title, times=("seen_at",), places=("place",))


@office.post("/things/edit")
@area("stock")
def things_edit() -> str | AnyResponse:
    """Set a field of what was ticked, or of all that the search finds."""
    form = EditForm(request.form)
    t = translator("office", language())
    if not form.validate():
        return _page(form)
    value = (form.value.data or "").strip() or None
    if form.field.data == "home_case" and value is not None:
        try:
            value = parse_code(value).text
        except CodeError as error:
            form.value.errors = [f"{error.message}. {error.remedy}"]
            return _page(form)
    try:
        with services().store.write() as session:
            codes = request.form.getlist("code") or _found(session)
            book = company_book(session, services().settings.company or "Company", services().now())
            edit_items(session, book, codes, form.field.data, value, services().now())
    except (Conflict, NotFound) as error:
        form.value.errors = [f"{error.message}. {error.remedy}"]
        return _page(form)
    flash(t("things.edited", n=len(codes)))
    return redirect(url_for("office.things", **_kept()))


@office.post("/things/undo/<hash:entry>")
@area("stock")
def things_undo(entry: str) -> AnyResponse:
    """Take an edit back where nobody changed the thing again."""
    require_token()
    with services().store.write() as session:
        book = company_book(session, services().settings.company or "Company", services().now())
        changed, back = undo_edit(session, book, entry, services().now())
    flash(translator("office", language())("things.undone", n=back, all=changed))
    return redirect(url_for("office.things"))


@office.post("/things/lists")
@area("stock")
def things_keep() -> str | AnyResponse:
    """Keep the search under a name."""
    form = ListForm(request.form)
    if not form.validate():
        return _page(EditForm(), form)
    with services().store.write() as session:
        save_list(session, form.name.data.strip(), searched())
    return redirect(url_for("office.things", **_kept()))


@office.post("/things/lists/forget")
@area("stock")
def things_forget() -> AnyResponse:
    """Forget a kept search."""
    require_token()
    with services().store.write() as session:
        delete_list(session, request.form.get("name", ""))
    return redirect(url_for("office.things"))


@office.get("/things/<code>")
@area("stock")
def thing(code: str) -> str:
    """Everything that is known of one thing: its chain, its looks, when it broke and who had it."""
    session = db.session()
    item = find_thing(session, code)
    chain = custody(session, item.code, item.kind)
    entries = history(session, item.code, case=True) if item.kind == "case" else chain.entries
    return render_template(
        "office/thing.html",
        item=item,
        where=locate(session, [item.code]).get(item.code),
        chain=chain,
        entries=entries,
        claims=claims(session, item.code),
        price=_price(type_attributes(session), item),
        form=ClaimForm(),
    )


@office.get("/things/<code>/history.<table:fmt>")
@area("stock")
def thing_file(code: str, fmt: str) -> Response:
    """A thing's history as a table."""
    session = db.session()
    item = find_thing(session, code)
    entries = history(session, item.code, case=item.kind == "case")
    table = [
        ["seen_at", "came_in_at", "type", "by", "book", "case", "place", "stage", "entry"],
        *map(_history_row, entries),
    ]
    times = ("seen_at", "came_in_at")
    return download(table, fmt, f"history-{item.code}", item.code, times=times, places=("place",))


def _found(session: Session) -> list[str]:
    """All that the search finds; raise Conflict when it asks for everything."""
    if searched().is_empty:
        raise Conflict("items: nothing is ticked and the search asks for everything", "Tick some, or search.")
    return [item.code for item in session.scalars(search(session, searched()))]


def find_thing(session: Session, text: str) -> Item:
    """A thing by any of its labels; raise NotFound."""
    item = find_item(session, parse_code(text))
    if item is None:
        raise NotFound(f"label {text} is not registered", "Search for it by what else you know.")
    return item


def _page(form: EditForm, kept: ListForm | None = None) -> str:
    query = searched()
    session = db.session()
    return render_template(
        "office/things.html",
        query=query,
        form=form,
        keep=kept or ListForm(),
        lists=saved_lists(session),
        edits=edits(session),
        statuses=STATUSES,
        **_page_of(query),
    )


def _page_of(query: ItemQuery) -> dict[str, Any]:
    """A page of what a search finds."""
    page = page_of(search(db.session(), query), _SHOWN)
    return {"page": page, "rows": rows_of(db.session(), page.items)}


def _kept() -> dict[str, Any]:
    return {name: value for name, value in vars(searched()).items() if value}


def _cells(row: Row) -> list[str]:
    where = row.where
    seen = (where.case, where.show, where.place, where.seen_at) if where else (None,) * 4
    named = (getattr(row.item, name) for name in _COLUMNS)
    return [value or "" for value in (*named, *seen, row.state.status)]


def _history_row(record: HistoryEntry) -> list[str]:
    movement = record.movement
    cells = (
        record.seen_at,
        record.kept_at,
        record.type,
        record.by,
        record.title,
        movement.case_code,
        movement.place,
        movement.stage,
    )
    return [*(value or "" for value in cells), record.entry]


def _price(types: TypeAttributes, item: Item) -> str:
    attributes = attributes_of(types, item.kind, item.tile_type)
    return f"{attributes['price']:g} {attributes['currency']}" if attributes.get("price") is not None else ""
