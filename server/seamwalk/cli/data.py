"""Where a command's data is."""

import argparse
import os
from datetime import UTC, datetime

from seamwalk.config import Settings, load_settings
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.migrations import upgrade
from seamwalk.store.upgrading import begin_newest_rules


def settings_of(given: argparse.Namespace) -> Settings:
    """The settings, with the folder that was named."""
    if given.dir:
        os.environ["SEAMWALK_DIR"] = given.dir
    return load_settings()


def store_of(given: argparse.Namespace) -> Store:
    """The store, brought to the newest schema."""
    engine = make_engine(settings_of(given).database_url)
    upgrade(engine)
    store = Store(engine)
    begin_newest_rules(store, datetime.now(UTC))
    return store
