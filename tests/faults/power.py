"""The real store over the memory disk, and a book to write into."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import apsw_dbapi
from memory_disk import Disk, mounted
from sqlalchemy import Engine, create_engine, event, text
from sqlalchemy.pool import StaticPool

from helpers import NOW, RING
from seamwalk.book.entry import Author, Entry, format_at
from seamwalk.book.jose import PrivateKey
from seamwalk.book.verify import verify_export
from seamwalk.store.engine import Store, prepare_engine
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.books import admit_device, find_book, open_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.migrations import upgrade

FILE = "seamwalk.db"
BATCHES = 8


@dataclass(frozen=True)
class Prepared:
    """A disk with a book on it, and a device that it admits."""

    image: dict[str, bytes]
    book: str
    owner: str
    key: PrivateKey

    def batches(self) -> list[list[Entry]]:
        """Entries to send, some at a time."""
        author = Author(self.key, self.book)
        made: list[list[Entry]] = []
        for size in range(1, BATCHES + 1):
            batch = []
            for column in range(1, size % 4 + 2):
                body = {"plan": "0" * 64, "checks": [f"A/tile/{column}.1/condition:sound"], "result": "ok"}
                entry, author = author.write("found", body, format_at(NOW))
                batch.append(entry)
            made.append(batch)
        return made


@contextmanager
def store_on(disk: Disk, synchronous: str | None = None) -> Iterator[Store]:
    """The real store with its own settings; `synchronous` weakens them."""
    with mounted(disk) as vfs:
        engine = create_engine(
            "sqlite://",
            module=apsw_dbapi,
            creator=lambda: apsw_dbapi.Connection(FILE, vfs),
            poolclass=StaticPool,
        )
        # Shared memory of the WAL is not a file: one connection that keeps its locks does without.
        event.listen(engine, "connect", lambda c, _: c.execute("PRAGMA locking_mode=EXCLUSIVE").fetchall())
        prepare_engine(engine)
        if synchronous is not None:
            event.listen(engine, "connect", lambda c, _: c.execute(f"PRAGMA synchronous={synchronous}"))
        try:
            yield Store(engine, RING)
        finally:
            engine.dispose()


def prepare() -> Prepared:
    """Make a book on a disk of its own."""
    disk, key = Disk(), PrivateKey.generate()
    with store_on(disk) as store:
        upgrade(store.engine)
        with store.write() as session:
            book = open_book(session, kind="show", title="Power", slug="power", now=NOW)
            admit_device(session, book.id, jwk=key.jwk, name="Rosa", role="crew", now=NOW)
            found = (book.id, book.owner_fingerprint)
    return Prepared(disk.image(), *found, key)


def send(store: Store, book: str, batch: list[Entry]) -> set[str]:
    """Send a batch; return the ids that were acknowledged."""
    with store.write() as session:
        verdicts = intake.ingest(session, book, [entry.jws for entry in batch], NOW)
    return {verdict.id or "" for verdict in verdicts if verdict.verdict in ("kept", "again")}


def ledger_of(store: Store, prepared: Prepared) -> set[str]:
    """The ids in the book, which is intact and verifies; raise otherwise."""
    assert integrity(store.engine) == "ok"
    with store.read() as session:
        lines = [line.encode() for line in export_book(session, find_book(session, "power"))]
        verify_export(lines, prepared.owner)
        query = text("SELECT entry FROM ledger")
        return set(session.scalars(query))


def integrity(engine: Engine) -> str:
    with engine.connect() as connection:
        return str(connection.execute(text("PRAGMA integrity_check")).scalar_one())
