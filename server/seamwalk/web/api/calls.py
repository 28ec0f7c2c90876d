"""Calls of the phones' API: each states at its view what it takes and returns; published."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, Literal, TypeVar

from flask import request
from pydantic import BaseModel, ValidationError

from seamwalk.book.jose import PublicKey, split
from seamwalk.book.json_text import read_json
from seamwalk.errors import BookError
from seamwalk.web.api.schemas import ApiRequest
from seamwalk.web.error_handlers import ApiError
from seamwalk.web.inputs import QueryParams, first_error

MAX_DEPTH = 8
_SMALL_BYTES = 50_000
V = TypeVar("V", bound=Callable[..., Any])
BYTES: Literal["bytes"] = "bytes"


@dataclass(frozen=True)
class Call:
    """What a call takes and returns; `errors` are status codes of its own beside those of every call."""

    response: type[BaseModel] | Literal["bytes"]
    request_body: type[ApiRequest] | Literal["bytes"] | None = None
    query: type[QueryParams] | None = None
    signed_in: bool = False
    code: int = 200
    errors: tuple[int, ...] = ()
    max_bytes: int | None = None


def call(spec: Call) -> Callable[[V], V]:
    """Read what a call takes before its view, which gets it as `body` and `query`."""

    def decorate(view: V) -> V:
        @wraps(view)
        def read(**path: Any) -> Any:
            if isinstance(spec.request_body, type):
                path["body"] = _read_body(spec.request_body, spec.max_bytes or _SMALL_BYTES)
            if spec.query is not None:
                path["query"] = _read_query(spec.query)
            return view(**path)

        read.spec = spec  # type: ignore[attr-defined]
        return read  # type: ignore[return-value]

    return decorate


def _read_body(model: type[ApiRequest], max_bytes: int) -> ApiRequest:
    """Read the JSON body; raise ApiError naming the field that is wrong."""
    request.max_content_length = max_bytes
    try:
        return model.model_validate(read_json(request.get_data(), MAX_DEPTH))
    except BookError as error:
        raise ApiError(400, "not_json", f"body: {error.message}", error.remedy) from error
    except ValidationError as error:
        raise _bad_field(error) from error


def _read_query(model: type[QueryParams]) -> QueryParams:
    try:
        return model.model_validate(request.args.to_dict())
    except ValidationError as error:
        raise _bad_field(error) from error


def _bad_field(error: ValidationError) -> ApiError:
    field, what = first_error(error)
    return ApiError(400, "bad_field", what, "Send it as the API's description says.", field)


def proven(compact: str, key: PublicKey, typ: str, member: str) -> object:
    """The member of a JWS that a device signed to prove its key; raise ApiError."""
    wrong = ApiError(403, "bad_proof", "proof: not signed by this device's key", "Sign it again.", "proof")
    try:
        header, payload = (read_json(part, MAX_DEPTH) for part in split(compact)[:2])
    except BookError as error:
        raise wrong from error
    if not isinstance(header, dict) or header.get("typ") != typ or not key.verifies(compact):
        raise wrong
    if not isinstance(payload, dict):
        raise wrong
    return payload.get(member)


def public_key(jwk: dict[str, str]) -> PublicKey:
    """Read a device's key; raise ApiError."""
    try:
        return PublicKey(jwk)
    except BookError as error:
        raise ApiError(400, "bad_field", error.message, error.remedy, "jwk") from error
