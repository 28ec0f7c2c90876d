"""What the calls of the phones' API hang on."""

from flask import Blueprint

api = Blueprint("api", __name__, url_prefix="/api/v1")
