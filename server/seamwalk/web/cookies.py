"""The cookies: a phone's session, the office's, and the mark of a browser that somebody logged in with.

Over https each name has the prefix `__Host-`: a browser takes it only from this very host, with Secure and
path /.
"""

import secrets
from datetime import timedelta
from typing import Any

from flask import Response, request
from itsdangerous import BadData, URLSafeSerializer
from werkzeug.wrappers import Response as AnyResponse

from seamwalk.book.jose import sha256_hex
from seamwalk.config import Settings
from seamwalk.web.services import services

KNOWN_LIFETIME = timedelta(days=180)
MAX_LOGINS = 8
_DEVICE, _OFFICE, _KNOWN = "seamwalk_device", "seamwalk_office", "seamwalk_known"
_SALT = "seamwalk-known-browser"


def office_cookie(settings: Settings) -> str:
    """The name of the office's cookie."""
    return _named(_OFFICE, settings)


def device_cookie() -> str:
    """The name of a phone's cookie."""
    return _named(_DEVICE, services().settings)


def device_token() -> str | None:
    """The token of a phone's session, if the call brings one."""
    return request.cookies.get(device_cookie())


def set_device_cookie(response: Response, token: str, seconds: int) -> None:
    """Give a device its session cookie."""
    _set(response, _DEVICE, token, seconds)


def login_key(login: str) -> str:
    """What stands for a login's name where the name itself is not needed."""
    return sha256_hex(login.encode("utf-8", "replace"))[:16]


def known_browser(login: str) -> str | None:
    """The id of this browser if somebody logged in to this login with it before; None for a stranger's."""
    known = _known()
    until = known["logins"].get(login_key(login), 0)
    return str(known["browser"]) if until > services().now().timestamp() else None


def remember_browser(response: AnyResponse, login: str) -> None:
    """Mark this browser as one that somebody logged in to this login with."""
    known, now = _known(), services().now()
    live = {key: until for key, until in known["logins"].items() if until > now.timestamp()}
    live.pop(login_key(login), None)
    newest = dict(list(live.items())[1 - MAX_LOGINS :])
    newest[login_key(login)] = int((now + KNOWN_LIFETIME).timestamp())
    text = _signer().dumps({"browser": known["browser"], "logins": newest})
    _set(response, _KNOWN, str(text), int(KNOWN_LIFETIME.total_seconds()))


def _known() -> dict[str, Any]:
    try:
        known: dict[str, Any] = _signer().loads(request.cookies.get(_named(_KNOWN, services().settings), ""))
    except BadData:
        return {"browser": secrets.token_urlsafe(16), "logins": {}}
    return known


def _signer() -> URLSafeSerializer:
    return URLSafeSerializer(services().settings.secret_key, salt=_SALT)


def _named(name: str, settings: Settings) -> str:
    return f"__Host-{name}" if settings.is_https else name


def _set(response: AnyResponse, name: str, value: str, seconds: int) -> None:
    settings = services().settings
    response.set_cookie(
        _named(name, settings),
        value,
        max_age=seconds,
        httponly=True,
        secure=settings.is_https,
        samesite="Strict",
    )
