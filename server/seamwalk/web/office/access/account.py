"""One's own login: its password, its one-time codes, where it is logged in."""

from flask import redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from seamwalk.errors import Conflict, Forbidden, LimitReached, SeamwalkError
from seamwalk.printing.qr import qr_symbol
from seamwalk.store.access import accounts, office_sessions, one_time_codes, passwords
from seamwalk.store.ledger.keys import ring_of, totp_context
from seamwalk.texts import translator
from seamwalk.web import logs
from seamwalk.web.office.access.login import verify_password
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.forms import (
    CodesOffForm,
    CodesOnForm,
    NewPasswordForm,
    OfficeForm,
    require_token,
)
from seamwalk.web.services import services
from seamwalk.web.visitors import Visitor, office_visitor

_PENDING = "pending_codes"


@office.get("/account")
@area("home")
def account() -> str:
    """Where this login is logged in, and whether it asks for one-time codes."""
    me, now = _me(), services().now()
    with services().store.read() as db:
        sessions = office_sessions.sessions_of(db, me.login, now)
        mine = accounts.account_of(db, me.login)
    ends = {"idle_hours": office_sessions.IDLE_TIMEOUT.seconds // 3600, "days": office_sessions.LIFETIME.days}
    fields = {"me": me, "sessions": sessions, "account": mine, "form": OfficeForm(), **ends}
    return render_template("office/account.html", **fields)


@office.route("/account/password", methods=["GET", "POST"])
@area("home")
def new_password() -> str | Response:
    """Set a new password; all other sessions of this login end."""
    form, me = NewPasswordForm(request.form), _me()
    if request.method == "POST" and form.validate() and _password_fits(form, me) and _is_another(form):
        try:
            hashed = passwords.new_hash(form.new_password.data, me.login, services().settings.company)
            with services().store.write() as db:
                accounts.set_password(db, me.login, hashed, me.session)
            logs.note("password changed")
            return redirect(url_for("office.account"))
        except (Conflict, LimitReached) as error:
            form.new_password.errors = [_message(error)]
    return render_template("office/new_password.html", form=form, least=passwords.MIN_LENGTH)


@office.post("/account/sessions/<token_hash>/end")
@area("home")
def end_session(token_hash: str) -> Response:
    """End one session of this login."""
    require_token()
    with services().store.write() as db:
        office_sessions.end(db, _me().login, token_hash)
    logs.note("a session ended")
    return redirect(url_for("office.account"))


@office.post("/account/sessions/end-others")
@area("home")
def end_other_sessions() -> Response:
    """End every session of this login but this one."""
    require_token()
    with services().store.write() as db:
        office_sessions.end_all(db, _me().login, _me().session)
    logs.note("other sessions ended")
    return redirect(url_for("office.account"))


@office.route("/account/codes", methods=["GET", "POST"])
@area("home")
def codes_on() -> str | Response:
    """Turn one-time codes on: a secret for the authenticator, and its first code to prove that it has it."""
    form, me = CodesOnForm(request.form), _me()
    secret = _pending_secret(me.login)
    if request.method == "POST" and form.validate() and _password_fits(form, me):
        try:
            with services().store.write() as db:
                codes = accounts.enable_totp(db, me.login, secret, form.code.data, services().now())
                office_sessions.end_all(db, me.login, me.session)
            session.pop(_PENDING)
            logs.note("one-time codes on")
            return render_template("office/recovery_codes.html", codes=codes)
        except Forbidden as error:
            form.code.errors = [_message(error)]
    address = one_time_codes.address(secret, me.login, services().settings.company or "Seamwalk")
    grouped = " ".join(secret[at : at + 4] for at in range(0, len(secret), 4))
    shown = {"qr": qr_symbol(address), "secret": grouped, "address": address}
    return render_template("office/codes_on.html", form=form, **shown)


@office.route("/account/codes/off", methods=["GET", "POST"])
@area("home")
def codes_off() -> str | Response:
    """Ask for one-time codes no more."""
    form, me = CodesOffForm(request.form), _me()
    if request.method == "POST" and form.validate() and _password_fits(form, me):
        with services().store.write() as db:
            accounts.disable_totp(db, me.login)
        logs.note("one-time codes off")
        return redirect(url_for("office.account"))
    return render_template("office/prove.html", form=form, act="codes_off")


@office.route("/account/codes/recovery", methods=["GET", "POST"])
@area("home")
def new_recovery_codes() -> str | Response:
    """Make new recovery codes; the old ones stop working."""
    form, me = CodesOffForm(request.form), _me()
    if request.method == "POST" and form.validate() and _password_fits(form, me):
        with services().store.write() as db:
            codes = accounts.renew_recovery_codes(db, me.login)
        logs.note("recovery codes renewed")
        return render_template("office/recovery_codes.html", codes=codes)
    return render_template("office/prove.html", form=form, act="recovery")


def _me() -> Visitor:
    visitor = office_visitor()
    if visitor is None:
        raise Forbidden("login: nobody is logged in", "Log in again.")
    return visitor


def _password_fits(form: OfficeForm, me: Visitor) -> bool:
    """Whether the password that was typed is this login's; what is wrong stands at its field."""
    try:
        verify_password(me.login, form.password.data)
    except Forbidden:
        form.password.errors = [translator("office", language())("account.wrong_password")]
        return False
    except LimitReached as error:
        form.password.errors = [_message(error)]
        return False
    return True


def _is_another(form: NewPasswordForm) -> bool:
    """Whether a new password is not the current one; what is wrong stands at its field."""
    if form.new_password.data != form.password.data:
        return True
    form.new_password.errors = [translator("office", language())("account.same_password")]
    return False


def _pending_secret(login: str) -> str:
    """The secret that is being set up, wrapped in the cookie until it is turned on."""
    context = totp_context(login)
    with services().store.read() as db:
        ring = ring_of(db)
    if _PENDING not in session:
        session[_PENDING] = ring.wrap(one_time_codes.new_secret(), context)
    return ring.unwrap(session[_PENDING], context)


def _message(error: SeamwalkError) -> str:
    return f"{error.message}. {error.remedy}"


@office.app_template_filter("browser")
def _browser(agent: str) -> str:
    """A browser as its owner would call it, from its User-Agent; a guess."""
    names = {"Edg": "Edge", "OPR": "Opera", "Firefox": "Firefox", "Chrom": "Chrome", "Safari": "Safari"}
    systems = {"Android": "Android", "iPhone": "iPhone", "iPad": "iPad", "Windows": "Windows", "Mac": "Mac"}
    found = [_first(names, agent), _first(systems | {"Linux": "Linux"}, agent)]
    return ", ".join(word for word in found if word) or agent[:40]


def _first(words: dict[str, str], agent: str) -> str:
    return next((name for mark, name in words.items() if mark in agent), "")
