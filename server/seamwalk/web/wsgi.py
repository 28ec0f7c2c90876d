"""What a WSGI server loads: settings come from the environment."""

import gc

from flask import Flask

from seamwalk.config import load_settings
from seamwalk.web import create_app


def make_app() -> Flask:
    """Make the app from SEAMWALK_* variables."""
    app = create_app(load_settings())
    freeze_garbage_collector()
    return app


def freeze_garbage_collector() -> None:
    """Leave what was made at the start out of all later rounds of the garbage collector."""
    gc.collect()
    gc.freeze()
