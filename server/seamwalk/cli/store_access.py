"""Where a command's data is."""

import argparse
import os
from datetime import UTC, datetime

from seamwalk.config import Settings, load_settings
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.opening import open_store


def settings_of(given: argparse.Namespace) -> Settings:
    """The settings, with the folder that was named."""
    if given.dir:
        os.environ["SEAMWALK_DIR"] = given.dir
    return load_settings()


def store_of(given: argparse.Namespace) -> Store:
    """The store, brought to the newest schema, under the wrapping key."""
    settings = settings_of(given)
    return open_store(make_engine(settings.database_url), settings.key_file, datetime.now(UTC))
