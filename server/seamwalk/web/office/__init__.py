"""The office's pages: server-rendered, working without scripts."""

from flask import Blueprint

office = Blueprint("office", __name__, url_prefix="/office")

from seamwalk.web.office import (  # noqa: E402
    account,  # noqa: F401
    bench,  # noqa: F401
    blank,  # noqa: F401
    claims,  # noqa: F401
    contacts,  # noqa: F401
    context,  # noqa: F401
    devices,  # noqa: F401
    labels,  # noqa: F401
    log,  # noqa: F401
    login,  # noqa: F401
    odd,  # noqa: F401
    planning,  # noqa: F401
    prep,  # noqa: F401
    procedures,  # noqa: F401
    rounds,  # noqa: F401
    sheet,  # noqa: F401
    shows,  # noqa: F401
    signoffs,  # noqa: F401
    stock,  # noqa: F401
    things,  # noqa: F401
    types,  # noqa: F401
    walls,  # noqa: F401
)
