"""Every call of the phones' API, on its blueprint."""

from seamwalk.web.api import devices, health, sync  # noqa: F401
from seamwalk.web.api.blueprint import api

__all__ = ["api"]
