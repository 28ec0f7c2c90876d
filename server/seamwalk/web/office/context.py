"""What every office page shares: the login, who may see it, its texts."""

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from flask import abort, redirect, request, session, url_for
from werkzeug.wrappers import Response

from seamwalk.book.roles import RIGHTS, Role
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
        "reason": lambda key: reasons(f"reasons.{key}") if key else "",
        "login": session.get("login"),
        "areas": areas,
        "company": services().settings.company,
    }


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
