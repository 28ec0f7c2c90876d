"""Is the server there, and on what does it stand."""

from typing import Any

from seamwalk import __version__
from seamwalk.procedures import edition
from seamwalk.web.api import api
from seamwalk.web.services import services


@api.get("/health")
def health() -> dict[str, Any]:
    """Version of the server and of its database."""
    return {"seamwalk": 1, "version": __version__, **services().store.describe()}


@api.get("/procedures")
def procedures() -> dict[str, Any]:
    """Every procedure with its texts, and the hash that names this edition."""
    name, content = edition()
    return {"seamwalk": 1, "edition": name, "procedures": content}
