"""What an address, a query string or a form may hold before any page sees it.

Path parts are matched whole by a converter; one that does not fit is no page (404). Query strings are read as
pydantic models. Nothing that a database cannot take (NUL) comes in by name or value.
"""

from typing import Annotated, TypeVar

from flask import Flask, request
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from werkzeug.exceptions import BadRequest, RequestURITooLarge
from werkzeug.routing import BaseConverter

from seamwalk.book.json_text import MAX_INTEGER, is_clean

# an address longer than 65,534 characters does not come through the server before us
MAX_QUERY_BYTES = 60_000
_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
Count = Annotated[int, Field(ge=0, le=MAX_INTEGER)]
M = TypeVar("M", bound="QueryParams")


class _Part(BaseConverter):
    """One part of a path that matches `regex` whole."""

    part_isolating = True


class Book(_Part):
    """A book's id."""

    regex = "b[0-9a-f]{16}"


class Hash(_Part):
    """A SHA-256 in hex: an entry's id, a blob's name."""

    regex = "[0-9a-f]{64}"


class Device(_Part):
    """A device's id: the thumbprint of its key (RFC 7638)."""

    regex = "[A-Za-z0-9_-]{43}"


class Name(_Part):
    """A book's id or short name."""

    regex = "[a-z0-9][a-z0-9-]{0,59}"


class Wall(_Part):
    """A wall's key."""

    regex = "[A-Z][A-Z0-9]{0,7}"


class Table(_Part):
    """How a table is sent."""

    regex = "csv|xlsx|json|pdf"


class Text(_Part):
    """Anything short, where no other converter is named."""

    regex = "[^/\\x00]{1,200}"


CONVERTERS: dict[str, type[BaseConverter]] = {
    "book": Book,
    "hash": Hash,
    "device": Device,
    "name": Name,
    "wall": Wall,
    "table": Table,
    "default": Text,
}


class QueryParams(BaseModel):
    """Base of a query string: text as it is, numbers read from text, unknown parameters ignored."""

    model_config = ConfigDict(frozen=True)


def install(app: Flask) -> None:
    """Name the converters, and look at every query string and form first."""
    app.url_map.converters.update(CONVERTERS)
    app.before_request(_check_text)


def read_query(model: type[M]) -> M:
    """Read the query string; raise BadRequest naming the field that is wrong."""
    try:
        return model.model_validate(request.args.to_dict())
    except ValidationError as error:
        raise BadRequest(f"{first_error(error)[1]}.") from error


def first_error(error: ValidationError) -> tuple[str, str]:
    """The first thing that is wrong: the member that it is in, and where and what it is."""
    first = error.errors(include_url=False, include_context=False, include_input=False)[0]
    where = [str(part) for part in first["loc"]] or ["body"]
    return where[0], f"{'.'.join(where)}: {first['msg']}"


def _check_text() -> None:
    if len(request.query_string) > MAX_QUERY_BYTES:
        raise RequestURITooLarge("The address is too long.")
    for values in (request.args, *([request.form] if request.mimetype in _FORMS else [])):
        for name, value in values.items(multi=True):
            if not (is_clean(name) and is_clean(value)):
                raise BadRequest("A NUL stands in what was sent: type it again without it.")
