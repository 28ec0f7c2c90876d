"""Bringing phones in and out: invites, admissions, revocations, and entries that are held."""

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from seamwalk.book.entry import read_entry
from seamwalk.printing.qr import qr_svg
from seamwalk.store import access, ledger
from seamwalk.store.books import admit_device, held_device_jwk, write_as_office
from seamwalk.web.office import office
from seamwalk.web.office.context import area
from seamwalk.web.office.forms import AdmitForm, InviteForm, ReasonForm
from seamwalk.web.office.shows import show_book
from seamwalk.web.services import services


@office.route("/shows/<name>/invite", methods=["GET", "POST"])
@area("shows")
def invite(name: str) -> str:
    """Make an invite; its QR and link are shown this once."""
    form = InviteForm(request.form)
    link = None
    with services().store.read() as session:
        book = show_book(session, name)
    if request.method == "POST" and form.validate():
        with services().store.write() as session:
            token = access.make_invite(session, book.id, form.role.data, form.hours.data, services().now())
        link = f"{services().settings.public_url}/phone/#join={token}.{book.owner_fingerprint}"
    qr = qr_svg(link) if link else None
    return render_template("office/invite.html", book=book, form=form, link=link, qr=qr)


@office.get("/shows/<name>/held")
@area("shows")
def held(name: str) -> str:
    """Entries that have no place in the book yet, by device."""
    with services().store.read() as session:
        book = show_book(session, name)
        rows = [(row, read_entry(row.jws)) for row in ledger.held_entries(session, book.id)]
    unknown = sorted({row.device for row, _ in rows if row.why == "unknown_device"})
    return render_template("office/held.html", book=book, rows=rows, unknown=unknown, admit=AdmitForm())


@office.post("/shows/<name>/devices/<device>/admit")
@area("shows")
def admit(name: str, device: str) -> str | Response:
    """Admit a phone whose entries are held; they get their place in the book."""
    form = AdmitForm(request.form)
    with services().store.read() as session:
        book = show_book(session, name)
        jwk = held_device_jwk(session, book.id, device)
    if not form.validate():
        return render_template("office/admit.html", book=book, device=device, form=form)
    with services().store.write() as session:
        person, role = form.name.data, form.role.data
        admit_device(session, book.id, jwk=jwk, name=person, role=role, now=services().now())
    return redirect(url_for("office.held", name=name))


@office.route("/shows/<name>/devices/<device>/revoke", methods=["GET", "POST"])
@area("shows")
def revoke(name: str, device: str) -> str | Response:
    """Revoke a phone: what it sends from then on is held."""
    return _with_reason(name, "revoke", "device_revoked", "device", device)


@office.route("/shows/<name>/held/<entry>/let-in", methods=["GET", "POST"])
@area("shows")
def let_in(name: str, entry: str) -> str | Response:
    """Let a held entry of a known device into the book."""
    return _with_reason(name, "let_in", "entry_admitted", "entry", entry)


def _with_reason(name: str, act: str, entry_type: str, field: str, value: str) -> str | Response:
    """Ask why, then write the office's entry about `value` and go back."""
    form = ReasonForm(request.form)
    with services().store.read() as session:
        book = show_book(session, name)
    if request.method == "POST" and form.validate():
        body = {field: value, "reason": form.reason.data}
        with services().store.write() as session:
            write_as_office(session, book.id, entry_type, body, services().now())
        return redirect(url_for("office.held" if act == "let_in" else "office.show", name=name))
    return render_template("office/reason.html", book=book, act=act, value=value, form=form)
