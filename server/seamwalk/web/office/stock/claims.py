"""Claims for damage: opened from a thing's page, printed with both looks side by side, to be verified."""

from flask import Response, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.book.seal import Seal
from seamwalk.errors import NotFound
from seamwalk.printing.qr import qr_symbol
from seamwalk.store.db import db
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import excerpt_of
from seamwalk.store.ledger.intake import newest_head
from seamwalk.store.ledger.photos import is_photo
from seamwalk.store.stock.claims import claims, find_claim, open_claim
from seamwalk.store.stock.custody import Breakage, custody, find_source_entry
from seamwalk.store.stock.labels import company_book
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.downloads import download
from seamwalk.web.office.stock.thing_forms import ClaimForm
from seamwalk.web.office.stock.things import find_thing
from seamwalk.web.services import services


@office.post("/things/<code>/claims")
@area("shows")
def claim_open(code: str) -> AnyResponse:
    """Open a claim for damage that a look saw first."""
    form = ClaimForm(request.form)
    with services().store.write() as session:
        item = find_thing(session, code)
        if not form.validate():
            return redirect(url_for("office.thing", code=item.code, claim="again"))
        breakage = custody(session, item.code, item.kind).breakage_of(form.seen.data, form.part.data)
        if breakage is None:
            raise NotFound(f"damage of {form.part.data} is not what was seen", "Open the thing's page again.")
        deadline = form.deadline.data
        entry = open_claim(
            session,
            company_book(session, services().settings.company or "Company", services().now()),
            item,
            breakage,
            against=form.against.data.strip(),
            reference=(form.reference.data or "").strip() or None,
            deadline=deadline.isoformat() if deadline else None,
            now=services().now(),
        )
    return redirect(url_for("office.claim", entry=entry))


@office.get("/claims/<hash:entry>")
@area("stock")
def claim(entry: str) -> str:
    """The claim sheet: the window, who had the thing, photos side by side, and how to verify each entry."""
    session = db.session()
    found = find_claim(session, entry)
    item = find_thing(session, found.body["item"])
    breakage = custody(session, item.code, item.kind).breakage_of(
        found.body["seen"]["entry"], found.body["part"]
    )
    named = [found.body[name] for name in ("after", "seen") if found.body[name]]
    looks = [
        (find_source_entry(session, look["entry"]), newest_head(session, look["book"])) for look in named
    ]
    seals = [Seal(look.book.id, head.epoch, head.size, head.root, look.entry.id) for look, head in looks]
    return render_template(
        "print/claim.html",
        claim=found,
        item=item,
        breakage=breakage,
        changed=breakage is None or _rests_on(breakage) != [look["entry"] for look in named],
        looks=[look for look, _ in looks],
        seals=[(seal, qr_symbol(seal.text)) for seal in seals],
    )


def _rests_on(breakage: Breakage) -> list[str]:
    """The entries that a window rests on by now."""
    after, seen = breakage.window.after, breakage.window.seen
    return [*([after.entry] if after else []), seen.entry]


@office.get("/claims.<table:fmt>")
@area("stock")
def claims_file(fmt: str) -> Response:
    """All claims as a table."""
    rows = [["claim", "opened_at", "item", "part", "against", "reference", "deadline"]]
    for found in claims(db.session()):
        body = found.body
        rest = (body["item"], body["part"], found.against, body["reference"], body["deadline"])
        rows.append([found.entry, found.at, *(value or "" for value in rest)])
    return download(rows, fmt, "claims", "Claims", times=("opened_at",))


@office.get("/books/<name:name>/entries/<hash:entry>.txt")
@area("stock")
def entry_file(name: str, entry: str) -> Response:
    """The excerpt of one entry, for `seamwalk verify`."""
    session = db.session()
    text = excerpt_of(session, find_book(session, name), entry)
    answer = Response(text, mimetype="text/plain")
    answer.headers["Content-Disposition"] = f'attachment; filename="entry-{entry[:12]}.txt"'
    return answer


@office.get("/books/<name:name>/photos/<hash:sha256>")
@area("stock")
def book_photo(name: str, sha256: str) -> Response:
    """A photo that an entry of a book names."""
    session = db.session()
    data = read_blob(session, find_book(session, name).id, sha256)
    if data is None or not is_photo(data):
        abort(404)
    return Response(data, mimetype="image/jpeg")
