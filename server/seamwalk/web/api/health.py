"""Is the server there, on what does it stand, and how is it spoken to."""

import json
from typing import Any

from flask import current_app

from seamwalk import __version__
from seamwalk.procedures import built_in, edition_hash
from seamwalk.web.api.blueprint import api
from seamwalk.web.api.calls import Call, call
from seamwalk.web.api.openapi import OpenApiResponse, describe
from seamwalk.web.api.schemas import HealthResponse, ProceduresResponse
from seamwalk.web.services import services


@api.get("/health")
@call(Call(HealthResponse))
def health() -> dict[str, Any]:
    """Version of the server and of its database."""
    return {"seamwalk": 1, "version": __version__, **services().store.describe()}


@api.get("/procedures")
@call(Call(ProceduresResponse))
def procedures() -> dict[str, Any]:
    """The edition that comes with the program, and the hash that names it."""
    file = built_in()
    return {"seamwalk": 1, "edition": edition_hash(file), **json.loads(file)}


@api.get("/openapi.json")
@call(Call(OpenApiResponse))
def openapi() -> dict[str, Any]:
    """This description."""
    return describe(current_app)
