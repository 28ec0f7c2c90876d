"""Headers on every answer, and what a call that changes something must bring."""

from flask import Flask, Response, request

from seamwalk.errors import Forbidden
from seamwalk.web.services import services

CSP = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self' 'wasm-unsafe-eval'",
        "img-src 'self' blob:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
CALL_HEADER = "X-Seamwalk"
_READING = ("GET", "HEAD", "OPTIONS")
# what goes on while private keys are away: getting in and out, and a sync that only reads
WITHOUT_KEYS = frozenset(
    {
        "api.nonce",
        "api.session",
        "api.sync",
        "office.end_other_sessions",
        "office.end_session",
        "office.log_in",
        "office.log_in_code",
        "office.log_out",
    }
)


def install(app: Flask) -> None:
    """Put the headers on every answer, and check the origin of every change and whether it can be signed."""
    app.after_request(_headers)
    app.before_request(_check_origin)
    app.before_request(_check_keys)


def _headers(response: Response) -> Response:
    response.headers["Content-Security-Policy"] = CSP
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    response.headers.setdefault("Cache-Control", "no-store")
    if services().settings.is_https:
        response.headers["Strict-Transport-Security"] = "max-age=31536000; includeSubDomains"
    return response


def _check_origin() -> None:
    if request.method in _READING:
        return
    origin = request.headers.get("Origin")
    if origin is not None and origin not in (services().settings.public_url, request.host_url.rstrip("/")):
        raise Forbidden(f"origin: {origin} is not this site", "Open the page at its own address.")
    if request.headers.get("Sec-Fetch-Site") == "cross-site":
        raise Forbidden("origin: another site sent this", "Open the page at its own address.")
    if request.path.startswith("/api/") and request.headers.get(CALL_HEADER) != "1":
        raise Forbidden(
            f"header: {CALL_HEADER}: 1 is needed", "Send it with every call that changes something."
        )


def _check_keys() -> None:
    """Refuse changes while nothing can be signed; raise KeyUnavailable."""
    if request.method in _READING or request.endpoint is None or request.endpoint in WITHOUT_KEYS:
        return
    away = services().keys.away()
    if away is not None:
        raise away
