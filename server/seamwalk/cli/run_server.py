"""Commands that run something: the demo, the server."""

import argparse
import os
import sys
from pathlib import Path

from seamwalk.cli.store_access import settings_of, store_of
from seamwalk.config import load_settings
from seamwalk.errors import Conflict
from seamwalk.resources import find
from seamwalk.serving import serve as serve_app
from seamwalk.store.ledger.integrity import damage
from seamwalk.store.ledger.keys import unavailable_keys


def demo(given: argparse.Namespace) -> None:
    """Make the demo and serve it."""
    folder = Path(given.dir)
    if folder.exists() and any(folder.iterdir()):
        raise Conflict(f"--dir: {folder} is not empty", "Name a fresh folder, or delete this one.")
    os.environ["SEAMWALK_DIR"] = str(folder)
    os.environ["SEAMWALK_PUBLIC_URL"] = f"http://localhost:{given.port}"
    sys.path.append(str(find("demo")))  # its folder lies beside the package or at the checkout's top
    from seamwalk_demo import ENVIRONMENT, make_show

    os.environ.update(ENVIRONMENT)
    make_show(load_settings(), print)
    if not given.no_serve:
        serve_app(load_settings(), host="127.0.0.1", port=given.port, say=print)


def serve(given: argparse.Namespace) -> None:
    """Serve, unless a quick look at the books finds damage; say so when private keys can not be opened."""
    os.environ["SEAMWALK_PUBLIC_URL"] = (
        os.environ.get("SEAMWALK_PUBLIC_URL") or f"http://localhost:{given.port}"
    )
    with store_of(given).read() as session:
        found, away = damage(session, full=False), unavailable_keys(session)
    if found:
        for line in found:
            print(line, file=sys.stderr)
        raise Conflict("the books are damaged: not serving", "Do as each line above says.")
    if away:
        print(f"This server only reads: {away.message}. {away.remedy}", file=sys.stderr)
    files = {"certificate": given.certificate, "key": given.key}
    serve_app(settings_of(given), host=given.host, port=given.port, say=print, **files)
