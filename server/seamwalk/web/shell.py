"""The phone's shell and built files, the front page, and what a label's QR leads to."""

import json
from functools import cache

from flask import Blueprint, Response, render_template, send_from_directory

from seamwalk.domain.stock.codes import parse_code
from seamwalk.resources import find
from seamwalk.store.stock.labels import find_item, revocation
from seamwalk.store.stock.locations import locate
from seamwalk.web.services import services
from seamwalk.web.visitors import is_company_staff

shell = Blueprint("shell", __name__)
_NO_CACHE = "no-cache"
_FOREVER = "public, max-age=31536000, immutable"


@cache
def _built_files() -> frozenset[str]:
    build = json.loads((find("static/dist") / "build.json").read_text("utf-8"))
    return frozenset(build["files"])


def _built(name: str, cache_control: str) -> Response:
    response = send_from_directory(find("static/dist"), name)
    response.headers["Cache-Control"] = cache_control
    return response


@shell.get("/")
def front() -> str:
    """Two ways in: the phone and the office."""
    return render_template("front.html")


@shell.get("/phone/")
def phone() -> Response:
    """The shell; it needs no login and no network once it is installed."""
    return _built("index.html", _NO_CACHE)


@shell.get("/phone/manifest.webmanifest")
def manifest() -> Response:
    """The web app manifest."""
    response = _built("manifest.webmanifest", _NO_CACHE)
    response.mimetype = "application/manifest+json"
    return response


@shell.get("/sw.js")
def service_worker() -> Response:
    """The service worker, at one fixed address, never cached."""
    return _built("sw.js", _NO_CACHE)


@shell.get("/dist/<name>")
def dist(name: str) -> Response:
    """A built file; its name holds its hash."""
    return _built(name, _FOREVER if name in _built_files() else _NO_CACHE)


@shell.get("/assets/<name>")
def assets(name: str) -> Response:
    """The office's style sheet and drawings."""
    response = send_from_directory(find("templates") / "assets", name)
    response.headers["Cache-Control"] = _NO_CACHE
    return response


@shell.get("/L/<typed>")
def label(typed: str) -> str:
    """What a label says; the code resolves whatever the host in its QR was.

    A stranger sees whose it is and whom to call, the same for every code, known here or not.
    """
    code = parse_code(typed)
    if not is_company_staff():
        return render_template("label_outside.html", code=code, contact=services().settings.contact)
    with services().store.read() as session:
        item, revoked = find_item(session, code), revocation(session, code)
        where = locate(session, [item.code]).get(item.code) if item else None
        return render_template("label.html", code=code, item=item, revoked=revoked, where=where)
