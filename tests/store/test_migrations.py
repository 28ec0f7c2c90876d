"""Migrations lead to the schema in the code, and keep what is in the books."""

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text

from seamwalk.book.parsing import read_kept
from seamwalk.store.db import db
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import current_plans
from seamwalk.store.migrations import is_current, upgrade
from small_book import BOOK, CHECK, Writer


def test_the_migrated_schema_is_the_one_in_the_code(database_url: str) -> None:
    engine = make_engine(database_url)
    assert not is_current(engine)
    upgrade(engine)
    upgrade(engine)
    assert is_current(engine)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), db.metadata) == []
    engine.dispose()


def test_a_book_of_the_first_schema_is_read_again_under_the_newest(database_url: str) -> None:
    writer = Writer()
    writer.admit()
    plan = {"wall": "A", "title": "T", "replaces": None, "plan_file": "0" * 64, "checks_file": "0" * 64}
    first = writer.write("plan_set", plan)
    second = writer.write("plan_set", plan | {"replaces": first})
    writer.find()
    engine = make_engine(database_url)
    upgrade(engine, "0001")
    with engine.begin() as connection:
        book = {"id": BOOK, "owner": writer.owner.thumbprint}
        query = "INSERT INTO books VALUES (:id, 's', 'show', 'T', 1, '{}', :owner)"
        connection.execute(text(query), book)
        query = "INSERT INTO ledger VALUES (:book, :idx, :id, :type, :device, :n, false, :jws)"
        for idx, jws in enumerate(writer.entries):
            entry = read_kept(jws)
            fields = {name: getattr(entry, name) for name in ("id", "type", "device", "n", "jws")}
            connection.execute(text(query), {"book": BOOK, "idx": idx, **fields})
    upgrade(engine)
    with Store(engine).read() as session:
        assert [plan.entry for plan in current_plans(session, BOOK)] == [second]
        assert wall_states(session, BOOK, "A")[CHECK].state == "ok"
    engine.dispose()
