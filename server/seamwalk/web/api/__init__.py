"""The phones' API, version 1. Every body carries `"seamwalk": 1`."""

from flask import Blueprint

api = Blueprint("api", __name__, url_prefix="/api/v1")

from seamwalk.web.api import books, devices, health  # noqa: E402, F401
