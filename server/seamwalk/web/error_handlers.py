"""Errors as answers: JSON under /api, a page elsewhere. The only place that knows HTTP codes for errors."""

from flask import Flask, Response, current_app, jsonify, make_response, render_template, request
from sqlalchemy.exc import DBAPIError
from werkzeug.exceptions import HTTPException, SecurityError

from seamwalk.errors import (
    BookError,
    CodeError,
    ConfigError,
    Conflict,
    Forbidden,
    InviteRefused,
    KeyUnavailable,
    LabelError,
    LimitReached,
    LostEntries,
    NotFound,
    PlanError,
    ProcedureError,
    SeamwalkError,
    TableError,
    VerifyError,
)
from seamwalk.store.database_errors import DatabaseProblem, classify
from seamwalk.store.db import db
from seamwalk.web.services import services

# status and code of each error: the codes are part of the API, whatever the classes are called
_ERRORS: dict[type[SeamwalkError], tuple[int, str]] = {
    NotFound: (404, "not_found"),
    Conflict: (409, "conflict"),
    InviteRefused: (410, "invite"),
    LostEntries: (409, "lost_entries"),
    Forbidden: (403, "forbidden"),
    LimitReached: (429, "too_many"),
    PlanError: (422, "plan_error"),
    CodeError: (422, "code_error"),
    LabelError: (422, "label_error"),
    TableError: (422, "table_error"),
    BookError: (422, "book_error"),
    ConfigError: (400, "config_error"),
    ProcedureError: (400, "procedure_error"),
    VerifyError: (400, "verify_error"),
}


READ_ONLY = "the server's key is not here: what is there can be read, and nothing is taken in"
KEY_REMEDY = (
    "Whoever runs the server puts the wrapping key back; `seamwalk check` says which. "
    "Phones keep everything and send it then"
)
_DATABASE_STATUS = {
    DatabaseProblem.STORAGE_FULL: 507,
    DatabaseProblem.STORAGE_BUSY: 503,
    DatabaseProblem.STORAGE_AWAY: 503,
    DatabaseProblem.STORAGE_DAMAGED: 500,
}
_RETRY_AFTER_S = "5"
# what went wrong and what to do, where the code is all that is known
_WORDS = {
    400: ("what was sent cannot be read", "Go back and try again; if it stays, tell the office."),
    403: ("your login does not open this page", "Log in as somebody whose role does."),
    404: ("there is nothing at this address", "Look at the address."),
    405: ("this address is not called in this way", "Use the call that is documented."),
    413: ("that is more than is taken at once", "Send less at once."),
    500: ("the server failed at this", "Try again; if it stays, tell whoever runs it."),
}


class ApiError(Exception):
    """An answer other than 2xx that the API gives on purpose."""

    def __init__(self, code: int, error: str, message: str, remedy: str, field: str | None = None) -> None:
        super().__init__(message)
        self.code, self.error, self.message, self.remedy, self.field = code, error, message, remedy, field


def install(app: Flask) -> None:
    """Answer every error that is known."""
    app.register_error_handler(ApiError, _api_error)
    app.register_error_handler(SeamwalkError, _own_error)
    app.register_error_handler(KeyUnavailable, _key_unavailable)
    app.register_error_handler(SecurityError, _other_host)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(DBAPIError, _database_error)


def _api_error(error: ApiError) -> Response:
    body = {"seamwalk": 1, "error": error.error, "message": error.message, "remedy": error.remedy}
    return make_response(jsonify(body | ({"field": error.field} if error.field else {})), error.code)


def _own_error(error: SeamwalkError) -> Response:
    status, code = _ERRORS[type(error)]
    response = _answer(status, code, error.message, error.remedy)
    if isinstance(error, LimitReached) and error.wait_s is not None:
        response.headers["Retry-After"] = str(error.wait_s)
    return response


def _key_unavailable(error: KeyUnavailable) -> Response:
    """Nothing can be signed: the log says which key, the answer does not."""
    current_app.logger.error("%s", error.message)
    response = _answer(503, "key_away", READ_ONLY, KEY_REMEDY)
    response.headers["Retry-After"] = "60"
    return response


def _other_host(_: SecurityError) -> Response:
    public = services().settings.public_url
    remedy = f"Open {public}, or let whoever runs the server name this host in SEAMWALK_TRUSTED_HOSTS."
    message = "host: this server does not answer under this name"
    return _answer(400, "other_host", message, remedy, template="other_host.html", address=public)


def _database_error(error: DBAPIError) -> Response:
    """A database that cannot do its work: nothing was acknowledged, and nothing is lost.

    What the request was reading is over: a session that failed answers nothing more.
    """
    db.session.close()
    current_app.logger.error("database: %s", error.orig)
    problem = classify(error)
    answer = _answer(_DATABASE_STATUS[problem], problem.value, problem.message, problem.remedy)
    if answer.status_code == 503:
        answer.headers["Retry-After"] = _RETRY_AFTER_S
    return answer


def _http_error(error: HTTPException) -> Response:
    code = error.code or 500
    what, remedy = _WORDS.get(code, ("this cannot be answered", "Try again; if it stays, tell the office."))
    own = error.description if error.description != type(error).description else None
    return _answer(code, error.name.lower().replace(" ", "_"), own or what, remedy)


def _answer(
    code: int, key: str, message: str, remedy: str, template: str = "error.html", **fields: str
) -> Response:
    if request.path.startswith("/api/"):
        return make_response(jsonify(seamwalk=1, error=key, message=message, remedy=remedy), code)
    return make_response(render_template(template, message=message, remedy=remedy, **fields), code)
