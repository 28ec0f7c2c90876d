"""What the server writes down of logins, refusals and errors: a line of JSON each, to standard error.

No line holds a password, a code, a token, a cookie or what a form or an entry says.
"""

import json
import logging
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import TextIO, cast

from flask import Flask, Response, current_app, g, request
from flask.logging import wsgi_errors_stream

from seamwalk.store.access.office_sessions import hash_of
from seamwalk.store.ledger.intake import Verdict
from seamwalk.web.cookies import device_token

# an address that leads nowhere is no attempt at anything
_NO_REFUSALS = frozenset({404, 405})
_SESSION_DIGITS = 12


class Lines(logging.Formatter):
    """One line of ASCII for each record, whatever it holds."""

    def format(self, record: logging.LogRecord) -> str:
        """The record as JSON, its moment in UTC first."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        line = {"at": at, "level": record.levelname.lower(), "event": record.getMessage()}
        line |= getattr(record, "told", {})
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line)


def install(app: Flask) -> None:
    """Write lines for the app, one for every refusal among them."""
    handler = logging.StreamHandler(cast(TextIO, wsgi_errors_stream))
    handler.setFormatter(Lines())
    app.logger.handlers[:] = [handler]
    app.logger.setLevel(logging.INFO)
    app.after_request(_note_refusal)


def note(event: str, *, who: str | None = None, **told: object) -> None:
    """Write down what somebody did; without `who` it is the visitor of this request."""
    _write(logging.INFO, event, who, told)


def warn(event: str, *, who: str | None = None, **told: object) -> None:
    """Write down what somebody tried in vain."""
    _write(logging.WARNING, event, who, told)


def warn_of(verdicts: Iterable[Verdict]) -> None:
    """Write down which entries of a sync were refused, and by which test."""
    for verdict in verdicts:
        if verdict.verdict == "refused":
            warn("entry refused", why=verdict.why, sha256=verdict.sha256)


def _note_refusal(response: Response) -> Response:
    if 400 <= response.status_code < 500 and response.status_code not in _NO_REFUSALS:
        warn("refused", code=response.status_code)
    return response


def _write(level: int, event: str, who: str | None, told: dict[str, object]) -> None:
    where = {"from": request.remote_addr, "method": request.method, "path": request.path}
    current_app.logger.log(level, event, extra={"told": {"who": who or _visitor(), **where, **told}})


def _visitor() -> str | None:
    """The login that was looked up, or the beginning of what is stored of a phone's session."""
    visitor, token = g.get("visitor"), device_token()
    if visitor is not None:
        return str(visitor.login)
    return f"phone session {hash_of(token)[:_SESSION_DIGITS]}" if token else None
