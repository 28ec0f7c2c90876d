"""Bringing phones in and out: invites, admissions, revocations, and entries that are held."""

import json

from flask import redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from seamwalk.book.entry import Entry
from seamwalk.book.parsing import read_kept
from seamwalk.errors import BookError, LimitReached, NotFound
from seamwalk.printing.qr import qr_symbol
from seamwalk.store.access import phones
from seamwalk.store.db import db
from seamwalk.store.findings.states import name_of, people
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.books import admit_device, held_device_jwk, write_as_office
from seamwalk.store.sync import phone_file
from seamwalk.store.tables import Book, Device, HeldEntry
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.forms import (
    NEW_PERSON,
    AdmitForm,
    DeviceForm,
    FileForm,
    InviteForm,
    ReasonForm,
    require_token,
)
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services


@office.route("/shows/<name:name>/invite", methods=["GET", "POST"])
@area("shows")
def invite(name: str) -> str:
    """Make an invite; its QR and link are shown this once."""
    form = InviteForm(
        request.form, role=request.args.get("role"), person=request.args.get("person", NEW_PERSON)
    )
    link = None
    book = show_book(db.session(), name)
    form.person.choices = _people(db.session(), book)
    if request.method == "POST" and form.validate():
        try:
            link = _make_invite(book, form)
        except LimitReached as error:
            form.hours.errors = [f"{error.message}. {error.remedy}"]
    qr = qr_symbol(link) if link else None
    waiting = phones.open_invites(db.session(), book.id, services().now())
    return render_template("office/invite.html", book=book, form=form, link=link, qr=qr, waiting=waiting)


def _make_invite(book: Book, form: InviteForm) -> str:
    """The link that a new invite's QR holds."""
    role, hours, person = form.role.data, form.hours.data, form.person.data or None
    with services().store.write() as session:
        token = phones.make_invite(session, book.id, role, hours, services().now(), person)
    return f"{services().settings.public_url}/phone/#join={token}.{book.owner_fingerprint}"


@office.post("/shows/<name:name>/invite/take-back")
@area("shows")
def revoke_invites(name: str) -> Response:
    """Let no invite of this show that was not used yet be good any more."""
    require_token()
    with services().store.write() as session:
        phones.revoke_invites(session, show_book(session, name).id, services().now())
    return redirect(url_for("office.invite", name=name))


@office.get("/shows/<name:name>/held")
@area("shows")
def held(name: str) -> str:
    """Entries that have no place in the book yet, by device."""
    session = db.session()
    book = show_book(session, name)
    rows = [(row, *_held(row)) for row in intake.held_entries(session, book.id)]
    devices = {row.device for row, *_ in rows if session.get(Device, (book.id, row.device))}
    names = {device: name_of(session, book.id, device) for device in devices}
    form = AdmitForm()
    form.person.choices = _people(session, book)
    unknown = sorted({row.device for row, *_ in rows if row.why == "unknown_device"})
    return render_template("office/held.html", book=book, rows=rows, names=names, unknown=unknown, admit=form)


def _held(row: HeldEntry) -> tuple[Entry, list[str], str]:
    """A held entry, the checks that it is about, and the beginning of what it says as it is written."""
    entry = read_kept(row.jws)
    named = entry.body.get("checks")
    checks = [check for check in named if isinstance(check, str)] if isinstance(named, list) else []
    return entry, checks, json.dumps(entry.body, ensure_ascii=False)[:200]


@office.post("/shows/<name:name>/devices/<device:device>/admit")
@area("shows")
def admit(name: str, device: str) -> str | Response:
    """Admit a phone whose entries are held; they get their place in the book."""
    form = AdmitForm(request.form)
    book = show_book(db.session(), name)
    jwk = held_device_jwk(db.session(), book.id, device)
    form.person.choices = _people(db.session(), book)
    if not form.validate():
        return render_template("office/admit.html", book=book, device=device, form=form)
    with services().store.write() as session:
        fields = {"name": form.name.data, "role": form.role.data, "person": form.person.data or None}
        admit_device(session, book.id, jwk=jwk, now=services().now(), **fields)
    return redirect(url_for("office.held", name=name))


@office.route("/shows/<name:name>/devices/<device:device>", methods=["GET", "POST"])
@area("shows")
def device(name: str, device: str) -> str | Response:
    """A phone's name and role; what it wrote before stays the same person's. A revoked one comes in again."""
    book = show_book(db.session(), name)
    known = db.session().get(Device, (book.id, device))
    if known is None:
        raise NotFound(f"phone {device[:8]} was never admitted", "Choose one from the show's page.")
    form = DeviceForm(request.form, name=name_of(db.session(), book.id, device), role=known.role)
    if request.method == "POST" and form.validate():
        with services().store.write() as session:
            fields = {"name": form.name.data, "role": form.role.data}
            admit_device(session, book.id, jwk=known.jwk, now=services().now(), **fields)
        return redirect(url_for("office.show", name=name))
    return render_template("office/device.html", book=book, device=known, form=form)


@office.route("/shows/<name:name>/take-in", methods=["GET", "POST"])
@area("shows")
def take_in(name: str) -> str:
    """Take in a file that a phone saved, as if the phone had sent it."""
    form = FileForm(request.form)
    upload = request.files.get("upload")
    taken = None
    book = show_book(db.session(), name)
    if request.method == "POST" and form.validate():
        lines = upload.read().decode("utf-8", "replace").splitlines() if upload else []
        try:
            file = phone_file.read_phone_file(lines)
            with services().store.write() as session:
                taken = phone_file.import_phone_file(session, book.id, file, services().now())
        except BookError as error:
            form.upload.errors = [f"{error.message}. {error.remedy}"]
    return render_template("office/take_in.html", book=book, form=form, taken=taken)


@office.route("/shows/<name:name>/devices/<device:device>/revoke", methods=["GET", "POST"])
@area("shows")
def revoke(name: str, device: str) -> str | Response:
    """Revoke a phone: what it sends from then on is held."""
    return _with_reason(name, "revoke", "device_revoked", "device", device)


@office.route("/shows/<name:name>/held/<hash:entry>/let-in", methods=["GET", "POST"])
@area("shows")
def let_in(name: str, entry: str) -> str | Response:
    """Let a held entry of a known device into the book."""
    return _with_reason(name, "let_in", "entry_admitted", "entry", entry)


def _people(session: Session, book: Book) -> list[tuple[str, str]]:
    """Whose a phone may be: somebody new, or one of the show's people."""
    return [(NEW_PERSON, translator("office", language())("held.new_person")), *people(session, book.id)]


def _with_reason(name: str, act: str, entry_type: str, field: str, value: str) -> str | Response:
    """Ask why, then write the office's entry about `value` and go back."""
    form = ReasonForm(request.form)
    book = show_book(db.session(), name)
    if request.method == "POST" and form.validate():
        body = {field: value, "reason": form.reason.data}
        with services().store.write() as session:
            write_as_office(session, book.id, entry_type, body, services().now())
        return redirect(url_for("office.held" if act == "let_in" else "office.show", name=name))
    return render_template("office/reason.html", book=book, act=act, value=value, form=form)
