"""Where a command's data is."""

import argparse
import os

from seamwalk.config import Settings, load_settings
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.migrations import upgrade


def settings_of(given: argparse.Namespace) -> Settings:
    """The settings, with the folder that was named."""
    if given.dir:
        os.environ["SEAMWALK_DIR"] = given.dir
    return load_settings()


def store_of(given: argparse.Namespace) -> Store:
    """The store, brought to the newest schema."""
    engine = make_engine(settings_of(given).database_url)
    upgrade(engine)
    return Store(engine)
