"""What every office page shares: the login, who may see it, its texts."""

import re
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from flask import abort, make_response, redirect, render_template, request, url_for
from sqlalchemy.exc import DBAPIError
from werkzeug.exceptions import SecurityError
from werkzeug.wrappers import Response

from seamwalk.domain.checks.pace_rule import AHEAD_MS, LOOK_MS, WALK_MS
from seamwalk.domain.stock.codes import parse_code
from seamwalk.errors import CodeError
from seamwalk.printing.moments import in_words, moment_in_words
from seamwalk.printing.places import by_place, check_at_place, check_at_wall, stands_in_words, where_in_words
from seamwalk.store.access.office_sessions import as_utc
from seamwalk.texts import PSEUDO, Translate, translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.services import services
from seamwalk.web.visitors import Visitor, office_visitor

_PACE = {"look_ms": LOOK_MS, "walk_ms": WALK_MS, "ahead_ms": AHEAD_MS}

P = ParamSpec("P")
R = TypeVar("R")


def language() -> str:
    """The language of the pages; `pseudo` shows texts that are in no catalogue."""
    return PSEUDO if request.args.get("lang") == PSEUDO else "en"


@office.app_context_processor
def _context() -> dict[str, Any]:
    visitor = _shown_visitor()
    texts = translator("office", language())
    steps = translator("procedures", language())
    return {
        "t": texts,
        "reason": lambda key: steps.word("reasons", key) if key else "",
        "reading_of": lambda name: _numbered(steps, name),
        "choice_of": lambda chosen: steps.word("branches", chosen.partition(":")[2]),
        "login": visitor.login if visitor else None,
        "areas": visitor.areas if visitor else frozenset(),
        "only_reads": visitor is not None and services().keys.away() is not None,
        "company": services().settings.company,
        "pace": _PACE,
    }


def _numbered(steps: Translate, name: str) -> str:
    """What was read off, in words; one of several readings of a name ends in its number, as `point_kg_2`."""
    whole = steps.word("inputs", name)
    stem, _, number = name.rpartition("_")
    return f"{steps.word('inputs', stem)} {number}" if whole == name and number.isdigit() else whole


def _shown_visitor() -> Visitor | None:
    """Whose name a page shows: nobody's while the database is away, or under a host that is not served."""
    if isinstance(request.routing_exception, SecurityError):
        return None
    try:
        return office_visitor()
    except DBAPIError:
        return None


@office.app_template_filter("code")
def _code(text: str | None) -> str:
    """A label code as it is printed; what is none as it is, "" for nothing."""
    try:
        return parse_code(text).grouped if text else ""
    except CodeError:
        return str(text)


@office.app_template_filter("figure")
def _figure(value: object) -> str:
    """A figure as people read it; what is none as it is."""
    return f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else str(value)


@office.app_template_filter("is_phone")
def _is_phone(text: str) -> bool:
    """Whether a text is a telephone number, and nothing else."""
    return re.fullmatch(r"\+?[\d ()/-]{5,}", text) is not None


@office.app_template_filter("when")
def _when(moment: datetime) -> str:
    """A moment of the database as people read it, to the minute, at the company's clock."""
    return in_words(as_utc(moment), services().settings.time_zone)


@office.app_template_filter("moment")
def moment(at: str | None) -> str:
    """A moment that an entry gives, as people read it; what is none as it is, "" for none."""
    return moment_in_words(at, services().settings.time_zone) if at else ""


@office.app_template_filter("check")
def _check(check: str) -> str:
    """A check of a wall that the page is about, in words."""
    return check_at_place(check, translator("office", language()))


@office.app_template_filter("by_place")
def _by_place(checks: list[str]) -> list[str]:
    """Checks of a wall that the page is about, in words, a line for each place."""
    return by_place(checks, translator("office", language()))


@office.app_template_filter("check_at_wall")
def _check_at_wall(check: str) -> str:
    """A check in words, with its wall."""
    return check_at_wall(check, translator("office", language()))


@office.app_template_filter("where")
def _where(where: str) -> str:
    """Where in a wall a part was changed, in words."""
    return where_in_words(where, translator("office", language()))


@office.app_template_filter("stands")
def stands(place: str | None) -> str:
    """Where a thing stands, in words; "" for nowhere."""
    return stands_in_words(place, translator("office", language())) if place else ""


@office.app_template_filter("part")
def _part(part: str) -> str:
    """A part of a thing in words."""
    t = translator("office", language())
    group, _, which = part.partition(":")
    words = [t.word("parts", group), t.word("which", which)]
    return ", ".join(word for word in words if word)


def _log_in_first() -> Response:
    """To the login; what was sent in vain is kept on a page that sends it again."""
    if request.method != "POST":
        return redirect(url_for("office.log_in", next=request.path))
    kept = [(n, v) for n, v in request.form.items(multi=True) if n != "csrf_token" and "password" not in n]
    return make_response(render_template("office/login_over.html", kept=kept), 401)


def area(name: str) -> Callable[[Callable[P, R]], Callable[P, R | Response]]:
    """Let only accounts see a page whose role has this area; others log in, or are refused."""

    def decorate(view: Callable[P, R]) -> Callable[P, R | Response]:
        @wraps(view)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> R | Response:
            visitor = office_visitor()
            if visitor is None:
                return _log_in_first()
            if name not in visitor.areas:
                abort(403)
            return view(*args, **kwargs)

        return guarded

    return decorate
