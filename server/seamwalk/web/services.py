"""What the views need, wired by `create_app` and found through the running app."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from flask import current_app

from seamwalk.config import Settings
from seamwalk.store.engine import Store

EXTENSION = "seamwalk"


@dataclass(frozen=True)
class Services:
    """The store, the settings and the clock (UTC)."""

    store: Store
    settings: Settings
    now: Callable[[], datetime]


def services() -> Services:
    """The running app's services."""
    return cast(Services, current_app.extensions[EXTENSION])
