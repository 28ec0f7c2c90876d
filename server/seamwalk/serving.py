"""Serve the app for real: granian, one process, one book-keeper."""

import os
from collections.abc import Callable
from pathlib import Path

from granian import Granian
from granian.constants import Interfaces
from granian.log import LogLevels

from seamwalk.config import Settings
from seamwalk.errors import Conflict

THREADS = 8
# what a phone is sending may take so long; one out of reach in the middle would hold a stop forever
STOP_WITHIN_S = 5


def serve(
    settings: Settings,
    *,
    host: str,
    port: int,
    say: Callable[[str], None],
    certificate: str | None = None,
    key: str | None = None,
) -> None:
    """Serve until stopped; raise Conflict when a certificate comes without its key."""
    if (certificate is None) != (key is None):
        raise Conflict("--certificate and --key: one comes without the other", "Give both, or none.")
    os.environ.update(SEAMWALK_DIR=str(settings.dir), SEAMWALK_PUBLIC_URL=settings.public_url)
    scheme = "https" if certificate else "http"
    say(f"Seamwalk at {scheme}://{host}:{port}/ (phones and labels use {settings.public_url})")
    if not settings.is_https:
        say(
            "Phones keep the app offline only over https, or on localhost: see DEVELOPERS.md, Serving phones."
        )
    Granian(
        "seamwalk.web.wsgi:make_app",
        factory=True,
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        workers_kill_timeout=STOP_WITHIN_S,
        log_level=LogLevels.error,
        ssl_cert=Path(certificate) if certificate else None,
        ssl_key=Path(key) if key else None,
    ).serve()
