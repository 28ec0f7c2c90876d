"""Is the server there, and on what does it stand."""

import json
from typing import Any

from seamwalk import __version__
from seamwalk.procedures import built_in, edition_hash
from seamwalk.web.api import api
from seamwalk.web.services import services


@api.get("/health")
def health() -> dict[str, Any]:
    """Version of the server and of its database."""
    return {"seamwalk": 1, "version": __version__, **services().store.describe()}


@api.get("/procedures")
def procedures() -> dict[str, Any]:
    """The edition that comes with the program, and the hash that names it."""
    file = built_in()
    return {"seamwalk": 1, "edition": edition_hash(file), **json.loads(file)}
