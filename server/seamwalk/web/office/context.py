"""What every office page shares: the login, who may see it, its texts."""

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from flask import abort, redirect, request, session, url_for
from werkzeug.wrappers import Response

from seamwalk.book.roles import RIGHTS, Role
from seamwalk.domain.codes import parse_code
from seamwalk.errors import CodeError
from seamwalk.texts import PSEUDO, translator
from seamwalk.web.office import office
from seamwalk.web.services import services

P = ParamSpec("P")
R = TypeVar("R")


def language() -> str:
    """The language of the pages; `pseudo` shows texts that are in no catalogue."""
    return PSEUDO if request.args.get("lang") == PSEUDO else "en"


@office.app_context_processor
def _context() -> dict[str, Any]:
    role = session.get("role")
    areas = RIGHTS[Role(role)].areas if role else frozenset()
    texts = translator("office", language())
    reasons = translator("procedures", language())
    return {
        "t": texts,
        "reason": lambda key: reasons.word("reasons", key) if key else "",
        "login": session.get("login"),
        "areas": areas,
        "company": services().settings.company,
    }


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


@office.app_template_filter("moment")
def _moment(at: str | None) -> str:
    """A moment as people read it, to the second, UTC; "" for none."""
    return f"{at[:10]} {at[11:19]} UTC" if at else ""


@office.app_template_filter("part")
def _part(part: str) -> str:
    """A part of a thing in words."""
    t = translator("office", language())
    group, _, which = part.partition(":")
    words = [t.word("parts", group), t.word("which", which)]
    return ", ".join(word for word in words if word)


def area(name: str) -> Callable[[Callable[P, R]], Callable[P, R | Response]]:
    """Let only accounts see a page whose role has this area; others log in, or are refused."""

    def decorate(view: Callable[P, R]) -> Callable[P, R | Response]:
        @wraps(view)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> R | Response:
            role = session.get("role")
            if role is None:
                return redirect(url_for("office.log_in", next=request.path))
            if name not in RIGHTS[Role(role)].areas:
                abort(403)
            return view(*args, **kwargs)

        return guarded

    return decorate
