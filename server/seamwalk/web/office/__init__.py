"""The office's pages: server-rendered, working without scripts."""

from flask import Blueprint

office = Blueprint("office", __name__, url_prefix="/office")

from seamwalk.web.office import context, devices, labels, login, sheet, shows, signoffs, walls  # noqa: E402, F401
