"""Where a command's data is."""

import argparse
import os
from datetime import UTC, datetime

from seamwalk.config import Settings, load_settings
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.opening import open_store


def settings_of(args: argparse.Namespace) -> Settings:
    """The settings, with the folder that was named."""
    if args.dir:
        os.environ["SEAMWALK_DIR"] = args.dir
    return load_settings()


def store_of(args: argparse.Namespace) -> Store:
    """The store, brought to the newest schema, under the wrapping key."""
    settings = settings_of(args)
    return open_store(make_engine(settings.database_url), settings.key_file, datetime.now(UTC))
