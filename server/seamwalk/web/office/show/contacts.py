"""Whom to call at a show, one contact a line."""

import re

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response
from wtforms import TextAreaField

from seamwalk.store.show.contacts import Contact, contacts, publish_contacts
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.forms import OfficeForm
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services

_TEL = re.compile(r"\+?[0-9][0-9 ()/-]{2,30}")
_MAX = 50


class ContactsForm(OfficeForm):
    lines = TextAreaField()

    def read(self) -> tuple[list[Contact], list[str]]:
        """The contacts, and what is wrong by line."""
        found, wrong = [], []
        for number, line in enumerate((self.lines.data or "").splitlines(), start=1):
            if not line.strip():
                continue
            parts = [part.strip() for part in line.split(",")]
            if len(parts) != 3 or not all(parts) or not _TEL.fullmatch(parts[2]):
                wrong.append(
                    f"Line {number}: write name, role, number, as in: Jo Lind, rigger, +49 30 5550123."
                )
            else:
                found.append(Contact(*parts))
        if len(found) > _MAX:
            wrong.append(f"{len(found)} are too many: at most {_MAX}.")
        return found, wrong


@office.route("/shows/<name:name>/contacts", methods=["GET", "POST"])
@area("shows")
def show_contacts(name: str) -> str | Response:
    """Write down whom phones offer to call."""
    form = ContactsForm(request.form)
    with services().store.read() as session:
        book = show_book(session, name)
        if request.method == "GET":
            known = contacts(session, book.id)
            form.lines.data = "\n".join(f"{c.name}, {c.role}, {c.tel}" for c in known)
    if request.method == "POST" and form.validate():
        found, wrong = form.read()
        if not wrong:
            with services().store.write() as session:
                publish_contacts(session, book.id, found, services().now())
            return redirect(url_for("office.show", name=name))
        form.lines.errors = wrong
    return render_template("office/contacts.html", book=book, form=form)
