"""The company's edition of the procedures: taken out as YAML, taken in again, given to a show's phones."""

import json

from flask import Response, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.errors import ProcedureError
from seamwalk.procedures import built_in, company_edition, edition_hash
from seamwalk.procedures.yaml_text import write_yaml
from seamwalk.store.ledger.books import list_books
from seamwalk.store.show.editions import company_file, editions, publish_edition
from seamwalk.store.stock.labels import company_book
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.forms import FileForm, require_token
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services


@office.route("/procedures", methods=["GET", "POST"])
@area("shows")
def procedures() -> str | AnyResponse:
    """The editions so far, and a new one as a YAML file."""
    form = FileForm(request.form)
    upload = request.files.get("upload")
    if request.method == "POST" and form.validate() and upload is not None:
        try:
            file = company_edition(
                upload.filename or "edition.yaml", upload.read().decode("utf-8", "replace")
            )
            settings, now = services().settings, services().now()
            with services().store.write() as session:
                book = company_book(session, settings.company or "Company", now)
                publish_edition(session, book.id, file, now)
            return redirect(url_for("office.procedures"))
        except ProcedureError as error:
            form.upload.errors = [f"{error.message}. {error.remedy}"]
    with services().store.read() as session:
        made = [item for book in list_books(session, "company") for item in editions(session, book.id)]
        file = json.loads(company_file(session))
    return render_template(
        "office/procedures.html",
        form=form,
        editions=made,
        edition=edition_hash(built_in()),
        procedures=file["procedures"].values(),
        texts=file["texts"]["en"],
    )


@office.get("/procedures.yaml")
@area("shows")
def procedures_file() -> Response:
    """The edition that holds, whole, to be changed and taken in again."""
    with services().store.read() as session:
        content = json.loads(company_file(session))
    kept = {name: content[name] for name in ("procedures", "texts")}
    headers = {"Content-Disposition": 'attachment; filename="procedures.yaml"'}
    return Response(write_yaml(kept), mimetype="application/yaml", headers=headers)


@office.post("/shows/<name:name>/procedures")
@area("shows")
def publish_procedures(name: str) -> AnyResponse:
    """Give a show's phones the edition that holds now."""
    require_token()
    with services().store.write() as session:
        edition = publish_edition(
            session, show_book(session, name).id, company_file(session), services().now()
        )
    flash(translator("office", language())("show.procedures_given", edition=edition[:12]))
    return redirect(url_for("office.show", name=name))
