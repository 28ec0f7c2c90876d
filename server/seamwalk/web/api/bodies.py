"""Reading what phones send."""

import json
from typing import Any

from flask import request

from seamwalk.book.jose import PublicKey, split
from seamwalk.errors import BookError
from seamwalk.web.errors import ApiError

_TYPES = {str: "text", int: "a whole number", list: "a list", dict: "an object"}


def body(**fields: type) -> dict[str, Any]:
    """Read the JSON body, each field of its type; raise ApiError naming the field that is wrong."""
    data = request.get_json(silent=True)
    if not isinstance(data, dict):
        raise ApiError(400, "not_json", "body: a JSON object is needed", "Send application/json.")
    for name, kind in fields.items():
        value = data.get(name)
        if not isinstance(value, kind) or isinstance(value, bool):
            message = f"{name}: {_TYPES[kind]} is needed"
            raise ApiError(400, "bad_field", message, "Send the field as documented.", name)
    return data


def proof(compact: str, key: PublicKey, typ: str, field: str = "proof") -> dict[str, Any]:
    """Read a JWS that a device signed to prove its key; raise ApiError."""
    wrong = ApiError(403, "bad_proof", f"{field}: not signed by this device's key", "Sign it anew.", field)
    try:
        header, payload = map(json.loads, split(compact)[:2])
    except (BookError, ValueError) as error:
        raise wrong from error
    if not isinstance(header, dict) or header.get("typ") != typ or not key.verifies(compact):
        raise wrong
    if not isinstance(payload, dict):
        raise wrong
    return payload


def public_key(jwk: Any) -> PublicKey:
    """Read a device's key; raise ApiError."""
    try:
        return PublicKey(jwk)
    except BookError as error:
        raise ApiError(400, "bad_field", error.message, error.remedy, "jwk") from error
