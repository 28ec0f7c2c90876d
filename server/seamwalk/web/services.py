"""What the views need, wired by `create_app` and found through the running app."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import cast

from flask import current_app

from seamwalk.config import Settings
from seamwalk.errors import KeyUnavailable
from seamwalk.store.engine import Store
from seamwalk.store.ledger.keys import unavailable_keys
from seamwalk.web.throttle import Throttle

EXTENSION = "seamwalk"


class KeyWatch:
    """Whether the books' private keys can be opened; as long as they cannot it looks again."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._fits = False

    def away(self) -> KeyUnavailable | None:
        """Why nothing can be signed, None when all is well."""
        if self._fits:
            return None
        with self._store.read() as session:
            found = unavailable_keys(session)
        self._fits = found is None
        return found


@dataclass(frozen=True)
class Services:
    """The store, the settings, the clock (UTC), whether keys are here, and how fast somebody may guess."""

    store: Store
    settings: Settings
    now: Callable[[], datetime]
    keys: KeyWatch
    throttle: Throttle = field(default_factory=Throttle)


def services() -> Services:
    """The running app's services."""
    return cast(Services, current_app.extensions[EXTENSION])
