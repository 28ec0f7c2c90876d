"""Logging in and out."""

from flask import redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from seamwalk.errors import Forbidden
from seamwalk.store import access
from seamwalk.web.office import office
from seamwalk.web.office.context import area
from seamwalk.web.office.forms import LoginForm, OfficeForm
from seamwalk.web.services import services


@office.route("/login", methods=["GET", "POST"])
def log_in() -> str | Response:
    """Log in; what was typed stays, but for the password."""
    form = LoginForm(request.form)
    error = None
    if request.method == "POST" and form.validate():
        with services().store.write() as db:
            try:
                account = access.log_in(db, form.login.data, form.password.data, services().now())
            except Forbidden as wrong:
                error = wrong
            else:
                session.clear()
                session.update(login=account.login, role=account.role)
        if error is None:
            return redirect(_inside(request.args.get("next")))
    return render_template("office/login.html", form=form, error=error)


@office.post("/logout")
@area("home")
def log_out() -> Response:
    """Log out."""
    if OfficeForm(request.form).validate():
        session.clear()
    return redirect(url_for("office.log_in"))


def _inside(path: str | None) -> str:
    """Only paths of this office are followed."""
    return path if path and path.startswith("/office/") and "//" not in path else url_for("office.home")
