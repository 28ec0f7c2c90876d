"""What a WSGI server loads: settings come from the environment."""

from flask import Flask

from seamwalk.config import load_settings
from seamwalk.web import create_app


def make_app() -> Flask:
    """Make the app from SEAMWALK_* variables."""
    return create_app(load_settings())
