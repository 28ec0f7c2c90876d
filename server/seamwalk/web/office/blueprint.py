"""What the office's pages hang on."""

from flask import Blueprint

office = Blueprint("office", __name__, url_prefix="/office")
