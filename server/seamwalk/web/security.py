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
DEVICE_COOKIE = "seamwalk_device"
CALL_HEADER = "X-Seamwalk"


def install(app: Flask) -> None:
    """Put the headers on every answer, and check the origin of every change."""
    app.after_request(_headers)
    app.before_request(_check_origin)


def _headers(response: Response) -> Response:
    response.headers["Content-Security-Policy"] = CSP
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["Cross-Origin-Opener-Policy"] = "same-origin"
    response.headers.setdefault("Cache-Control", "no-store")
    if services().settings.is_https:
        response.headers["Strict-Transport-Security"] = "max-age=31536000"
    return response


def _check_origin() -> None:
    if request.method in ("GET", "HEAD", "OPTIONS"):
        return
    origin = request.headers.get("Origin")
    if origin is not None and origin not in (services().settings.public_url, request.host_url.rstrip("/")):
        raise Forbidden(f"origin: {origin} is not this site", "Open the page at its own address.")
    if request.path.startswith("/api/") and request.headers.get(CALL_HEADER) != "1":
        raise Forbidden(
            f"header: {CALL_HEADER}: 1 is needed", "Send it with every call that changes something."
        )


def set_device_cookie(response: Response, token: str, seconds: int) -> None:
    """Give a device its session cookie."""
    secure = services().settings.is_https
    response.set_cookie(
        DEVICE_COOKIE, token, max_age=seconds, httponly=True, secure=secure, samesite="Strict"
    )
