"""Open a store: its wrapping key, the newest schema, and nothing readable left that is to be wrapped."""

from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine, inspect, text

from seamwalk.store.engine import Store, scrub
from seamwalk.store.ledger.rules_upgrade import begin_newest_rules
from seamwalk.store.migrations import upgrade
from seamwalk.store.wrapping import KeyRing, make_key_file


def open_store(engine: Engine, key_file: Path, now: datetime) -> Store:
    """Bring a database to the newest schema and rules, and open it under the wrapping key in `key_file`.

    A key is made when nothing is wrapped yet. One that is missing later is never replaced: that store only
    reads until it is put back.
    """
    if not _holds_wrapped(engine):
        make_key_file(key_file)
    ring = KeyRing.from_file(key_file)
    upgrade(engine, ring=ring)
    scrub(engine)
    store = Store(engine, ring)
    begin_newest_rules(store, now)
    return store


def _holds_wrapped(engine: Engine) -> bool:
    """Whether a database, of any schema, holds anything that is wrapped already."""
    wrapped = {"keys": "wrapped", "accounts": "totp"}
    with engine.connect() as connection:
        tables = inspect(connection).get_multi_columns(filter_names=list(wrapped))
        return any(
            connection.execute(text(f"SELECT 1 FROM {table} WHERE {column} IS NOT NULL LIMIT 1")).first()  # noqa: S608
            for table, column in wrapped.items()
            if column in {found["name"] for found in tables.get((None, table), ())}
        )
