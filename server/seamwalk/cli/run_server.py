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
from seamwalk.store.ledger.integrity import find_damage
from seamwalk.store.ledger.keys import unavailable_keys


def demo(args: argparse.Namespace) -> None:
    """Make the demo and serve it."""
    folder = Path(args.dir)
    if folder.exists() and any(folder.iterdir()):
        raise Conflict(f"--dir: {folder} is not empty", "Name a fresh folder, or delete this one.")
    os.environ["SEAMWALK_DIR"] = str(folder)
    os.environ["SEAMWALK_PUBLIC_URL"] = f"http://localhost:{args.port}"
    sys.path.append(str(find("demo")))  # its folder lies beside the package or at the checkout's top
    from seamwalk_demo import ENVIRONMENT, make_show

    os.environ.update(ENVIRONMENT)
    make_show(load_settings(), print)
    if not args.no_serve:
        serve_app(load_settings(), host="127.0.0.1", port=args.port, say=print)


def serve(args: argparse.Namespace) -> None:
    """Serve, unless a quick look at the books finds damage; say so when private keys cannot be opened."""
    os.environ["SEAMWALK_PUBLIC_URL"] = (
        os.environ.get("SEAMWALK_PUBLIC_URL") or f"http://localhost:{args.port}"
    )
    with store_of(args).read() as session:
        found, away = find_damage(session, full=False), unavailable_keys(session)
    if found:
        for line in found:
            print(line, file=sys.stderr)
        raise Conflict("the books are damaged: not serving", "Do as each line above says.")
    if away:
        print(f"This server only reads: {away.message}. {away.remedy}", file=sys.stderr)
    files = {"certificate": args.certificate, "key": args.key}
    serve_app(settings_of(args), host=args.host, port=args.port, say=print, **files)
