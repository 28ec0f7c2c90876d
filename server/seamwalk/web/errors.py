"""Errors as answers: JSON under /api, a page elsewhere. The only place that knows HTTP codes for errors."""

import re

from flask import Flask, Response, current_app, jsonify, make_response, render_template, request
from sqlalchemy.exc import DBAPIError
from werkzeug.exceptions import HTTPException

from seamwalk.errors import (
    BookError,
    CodeError,
    Conflict,
    Forbidden,
    LabelError,
    LostEntries,
    NotFound,
    PlanError,
    SeamwalkError,
    TableError,
)
from seamwalk.store.trouble import Trouble, trouble_of

_CODES: dict[type[SeamwalkError], int] = {
    NotFound: 404,
    Conflict: 409,
    LostEntries: 409,
    Forbidden: 403,
    PlanError: 422,
    CodeError: 422,
    LabelError: 422,
    TableError: 422,
    BookError: 422,
}


_TROUBLES = {Trouble.STORAGE_FULL: 507, Trouble.STORAGE_BUSY: 503, Trouble.STORAGE_DAMAGED: 500}


class ApiError(Exception):
    """An answer other than 2xx that the API gives on purpose."""

    def __init__(self, code: int, error: str, message: str, remedy: str, field: str | None = None) -> None:
        super().__init__(message)
        self.code, self.error, self.message, self.remedy, self.field = code, error, message, remedy, field


def install(app: Flask) -> None:
    """Answer every error that is known."""
    app.register_error_handler(ApiError, _api_error)
    app.register_error_handler(SeamwalkError, _own_error)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(DBAPIError, _database_error)


def _api_error(error: ApiError) -> Response:
    body = {"seamwalk": 1, "error": error.error, "message": error.message, "remedy": error.remedy}
    return make_response(jsonify(body | ({"field": error.field} if error.field else {})), error.code)


def _own_error(error: SeamwalkError) -> Response:
    code = _CODES.get(type(error), 400)
    return _answer(code, _key(error), error.message, error.remedy)


def _database_error(error: DBAPIError) -> Response:
    """A database that can not do its work: nothing was acknowledged, and nothing is lost."""
    current_app.logger.error("database: %s", error.orig)
    trouble = trouble_of(error)
    return _answer(_TROUBLES[trouble], trouble.value, trouble.message, trouble.remedy)


def _key(error: SeamwalkError) -> str:
    """`lost_entries` for LostEntries, and so on."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", type(error).__name__).lower()


def _http_error(error: HTTPException) -> Response:
    code = error.code or 500
    remedies = {
        404: "Look at the address.",
        413: "Send less at once.",
        405: "Use the call that is documented.",
    }
    remedy = remedies.get(code, "Try again; if it stays, tell the office.")
    return _answer(code, error.name.lower().replace(" ", "_"), error.description or error.name, remedy)


def _answer(code: int, key: str, message: str, remedy: str) -> Response:
    if request.path.startswith("/api/"):
        return make_response(jsonify(seamwalk=1, error=key, message=message, remedy=remedy), code)
    return make_response(render_template("error.html", message=message, remedy=remedy), code)
