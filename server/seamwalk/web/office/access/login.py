"""Logging in, by a password and where it is asked for a one-time code, and out."""

from datetime import datetime, timedelta
from typing import Any

from flask import current_app, make_response, redirect, render_template, request, session, url_for
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RoutingException
from werkzeug.wrappers import Response

from seamwalk.errors import Forbidden, KeyUnavailable, LimitReached, SeamwalkError
from seamwalk.store.access import accounts, office_sessions
from seamwalk.store.access.accounts import VerifiedLogin
from seamwalk.web import logs
from seamwalk.web.cookies import known_browser, login_key, remember_browser
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.forms import CodeForm, LoginForm, require_token
from seamwalk.web.services import services
from seamwalk.web.throttle import code_budgets, password_budgets
from seamwalk.web.visitors import TOKEN, office_visitor

_PENDING = "half"
_PENDING_LIFETIME = timedelta(minutes=5)
_NO_CODES = Forbidden(
    "code: one-time codes cannot be looked at, for the server's key is not here", "Type a recovery code."
)


@office.route("/login", methods=["GET", "POST"])
def log_in() -> str | Response:
    """Log in; what was typed stays, but for the password."""
    form = LoginForm(request.form)
    error: SeamwalkError | None = None
    if request.method == "POST" and form.validate():
        try:
            return _go_on(verify_password(form.login.data, form.password.data))
        except (Forbidden, LimitReached) as wrong:
            error = wrong
    return _again("office/login.html", error, form=form)


@office.route("/login/code", methods=["GET", "POST"])
def log_in_code() -> str | Response:
    """The second step: a one-time code, or one of the recovery codes."""
    half, form = session.get(_PENDING), CodeForm(request.form)
    if half is None or half["until"] <= services().now().timestamp():
        return redirect(url_for("office.log_in"))
    error: SeamwalkError | None = None
    if request.method == "POST" and form.validate():
        try:
            return _enter(_verify_code(half["login"], half["stamp"], form.code.data))
        except KeyUnavailable:
            error = _NO_CODES
        except (Forbidden, LimitReached) as wrong:
            error = wrong
    return _again("office/login_code.html", error, form=form, who=half["login"])


@office.post("/logout")
@area("home")
def log_out() -> Response:
    """Log out: the session is over on the server too."""
    require_token()
    visitor = office_visitor()
    if visitor is not None:
        with services().store.write() as db:
            office_sessions.end(db, visitor.login, visitor.session)
        logs.note("logged out")
    session.clear()
    return redirect(url_for("office.log_in"))


def verify_password(login: str, password: str) -> VerifiedLogin:
    """Check a password at the pace that `throttle` allows; raise Forbidden, LimitReached."""
    budgets = password_budgets(login_key(login), known_browser(login), request.remote_addr)
    services().throttle.charge(budgets, services().now())
    try:
        person = accounts.check_password(services().store, login, password)
    except Forbidden:
        logs.warn("wrong password")
        raise
    services().throttle.give_back(budgets)
    return person


def _verify_code(login: str, stamp: str, typed: str) -> VerifiedLogin:
    budgets = code_budgets(login_key(login), known_browser(login))
    services().throttle.charge(budgets, services().now())
    try:
        with services().store.write() as db:
            account = accounts.use_code(db, login, stamp, typed, services().now())
            person = VerifiedLogin(account.login, account.role, True, stamp)
    except Forbidden:
        logs.warn("wrong one-time code", who=login)
        raise
    services().throttle.give_back(budgets)
    return person


def _go_on(person: VerifiedLogin) -> Response:
    """In, or on to the second step."""
    if not person.has_totp:
        return _enter(person)
    until = (services().now() + _PENDING_LIFETIME).timestamp()
    session.clear()
    session[_PENDING] = {"login": person.login, "stamp": person.stamp, "until": until}
    return redirect(url_for("office.log_in_code", next=request.args.get("next")))


def _enter(person: VerifiedLogin) -> Response:
    """Begin a session: nothing of what the browser had before is good any more."""
    now: datetime = services().now()
    with services().store.write() as db:
        accounts.require_same_password(db, person.login, person.stamp)
        token = office_sessions.begin(db, person.login, request.user_agent.string, now)
    logs.note("logged in", who=person.login, factors=1 + person.has_totp)
    session.clear()
    session[TOKEN] = token
    response = redirect(safe_target(request.args.get("next")))
    remember_browser(response, person.login)
    return response


def safe_target(path: str | None) -> str:
    """Only pages that there are here are followed; their address is built here, never taken over."""
    home = url_for("office.home")
    try:
        endpoint, arguments = current_app.url_map.bind("").match(path or "", method="GET")
    except (HTTPException, RoutingException):
        return home
    followed = endpoint == "shell.label" or endpoint.startswith("office.")
    return url_for(endpoint, **arguments) if followed else home


def _again(template: str, error: SeamwalkError | None, **fields: Any) -> Response:
    """The form once more, with what was wrong."""
    response = make_response(render_template(template, error=error, **fields))
    if isinstance(error, LimitReached):
        response.status_code = 429
        response.headers["Retry-After"] = str(error.wait_s or 1)
    return response
