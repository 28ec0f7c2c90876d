"""The server: the real store over a SQLite file, which crashes at any statement and restarts from disk."""

import json
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple, TypeVar
from unittest.mock import patch

from sim_keys import NumberedKey
from sqlalchemy import Engine, create_engine, event, select
from sqlalchemy.pool import QueuePool

from helpers import PLAN, RING
from seamwalk.book.entry import Entry
from seamwalk.book.jose import PrivateKey, signing_input
from seamwalk.store.engine import Store, copy_database, prepare_engine
from seamwalk.store.ledger import books
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.migrations import upgrade
from seamwalk.store.sync.exchange import SyncInput, SyncResult, exchange
from seamwalk.store.sync.phone_file import ImportResult, import_phone_file, read_phone_file
from seamwalk.store.tables import LedgerEntry

START = datetime(2026, 11, 20, 22, 0, tzinfo=UTC)
PERSONS = [f"p{number:016x}" for number in (1, 2, 3, 1)]
AT_COMMIT = -2
Answer = TypeVar("Answer")
WALL = PLAN | {"columns": 2, "rows": 1}


class HeldText(NamedTuple):
    """A held entry: the id of its text, its device, and why."""

    id: str
    device: str
    why: str


class Crash(BaseException):
    """The server's process is gone."""


class Machine:
    """One engine for all runs; the file behind it and the moment of the next crash change."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.file = folder / "template.db"
        self.statements_left: int | None = None
        self.engine: Engine = prepare_engine(
            create_engine("sqlite://", creator=self._connect, poolclass=QueuePool)
        )
        event.listen(self.engine, "before_cursor_execute", self._count)
        event.listen(self.engine, "commit", self._commit)
        upgrade(self.engine)
        self.book, self.owner = self._open_book()

    def _connect(self) -> sqlite3.Connection:
        return sqlite3.connect(self.file, check_same_thread=False)

    def _commit(self, *_: Any) -> None:
        if self.statements_left == AT_COMMIT:
            raise Crash
        self._count()

    def _count(self, *_: Any) -> None:
        if self.statements_left not in (None, AT_COMMIT):
            self.statements_left -= 1
            if self.statements_left < 0:
                raise Crash

    def _open_book(self) -> tuple[str, str]:
        """Make the file that every run starts from: a show, a plan, its first phones."""
        with numbered_keys(9000), Store(self.engine, RING).write() as session:
            fields = {"kind": "show", "title": "Sim", "slug": "sim"}
            book = books.open_book(session, **fields, now=START)
            books.set_plan(session, book.id, books.freeze_plan("A", WALL), replaces=None, now=START)
            for number, person in enumerate(PERSONS[:3], start=1):
                who = {"name": person, "role": "chief", "person": person}
                books.admit_device(session, book.id, jwk=NumberedKey(number).jwk, now=START, **who)
        self.engine.dispose()
        return book.id, book.owner_fingerprint


@contextmanager
def numbered_keys(first: int) -> Iterator[None]:
    """Let every key that the code makes be a numbered one."""
    numbers = iter(range(first, first + 1000))
    with patch.object(PrivateKey, "generate", lambda: NumberedKey(next(numbers))):
        yield


class Server:
    """One run's server."""

    def __init__(self, machine: Machine, run: Path) -> None:
        self.machine = machine
        self.book = machine.book
        self._run = run
        self._copies = 0
        self._disk: sqlite3.Connection | None = None
        self.clock = START
        machine.engine.dispose()
        shutil.copy(machine.folder / "template.db", run)
        machine.file = run

    @property
    def store(self) -> Store:
        return Store(self.machine.engine, RING)

    def tick(self) -> datetime:
        self.clock += timedelta(minutes=1)
        return self.clock

    def exchange(self, request: SyncInput, device: str | None, crash_after: int | None) -> SyncResult:
        """Answer one call; raise Crash when the process dies after so many statements, or at its commit."""
        return self._dying(crash_after, lambda: exchange(self.store, self.book, request, device, self.tick()))

    def _dying(self, crash_after: int | None, work: Callable[[], Answer]) -> Answer:
        self.machine.statements_left = crash_after
        try:
            return work()
        except Crash:
            self.machine.engine.dispose()
            raise
        finally:
            self.machine.statements_left = None

    def take_in(self, texts: list[str]) -> ImportResult:
        """Take in a file of texts, as the office does that a phone brings it to."""
        lines = [json.dumps({"entry": text}) for text in texts]
        with self.store.write() as session:
            return import_phone_file(session, self.book, read_phone_file(lines), self.tick())

    def kept(self) -> dict[str, tuple[str, int]]:
        """Id and index of what is kept, by signing input; fails when one stands there twice."""
        rows = self._rows("SELECT idx, entry, jws FROM ledger")
        kept = {signing_input(jws): (entry, idx) for idx, entry, jws in rows}
        assert len(kept) == len(rows), "an entry stands in the ledger twice"
        return kept

    def ids(self) -> list[str]:
        """The ledger, in index order; fails when an index is missing."""
        rows = self._rows("SELECT idx, entry FROM ledger ORDER BY idx")
        assert [idx for idx, _ in rows] == list(range(len(rows))), "the ledger has gaps"
        return [entry for _, entry in rows]

    def _rows(self, query: str) -> list[Any]:
        """What is on the disk, read past the code that is tested."""
        if self._disk is None:
            self._disk = sqlite3.connect(self._run)
        return self._disk.execute(query).fetchall()

    def texts(self) -> list[str]:
        with self.store.read() as session:
            query = select(LedgerEntry.jws).where(LedgerEntry.book == self.book).order_by(LedgerEntry.idx)
            return list(session.scalars(query))

    def held(self) -> dict[str, HeldText]:
        """Held entries by signing input; fails when one stands there twice."""
        rows = self._rows("SELECT entry, device, why, jws FROM held")
        held = {signing_input(jws): HeldText(entry, device, why) for entry, device, why, jws in rows}
        assert len(held) == len(rows), "an entry is held twice"
        return held

    def held_jwk(self, device: str) -> dict[str, str]:
        with self.store.read() as session:
            return books.held_device_jwk(session, self.book, device)

    def admit(self, jwk: dict[str, str], person: str, role: str = "chief") -> Entry:
        with self.store.write() as session:
            fields = {"name": person, "role": role, "person": person}
            return books.admit_device(session, self.book, jwk=jwk, now=self.tick(), **fields)

    def revoke(self, device: str) -> Entry:
        with self.store.write() as session:
            body = {"device": device, "reason": "gone"}
            return books.write_as_office(session, self.book, "device_revoked", body, self.tick())

    def standings(self) -> dict[str, str]:
        """Each device's role by the book's trust entries, or that it is revoked."""
        with self.store.read() as session:
            devices = load_trust(session, self.book).devices
        return {name: "revoked" if known.revoked else known.role.value for name, known in devices.items()}

    def set_plan(self, name: str) -> None:
        with self.store.write() as session:
            before = books.current_plan(session, self.book, "A")
            frozen, replaces = books.freeze_plan("A", WALL | {"name": name}), before.entry if before else None
            books.set_plan(session, self.book, frozen, replaces=replaces, now=self.tick())

    def copy(self) -> Path:
        self._copies += 1
        target = self._run.with_name(f"{self._run.name}.copy{self._copies}")
        target.unlink(missing_ok=True)
        copy_database(self.machine.engine, target)
        return target

    def put_back(self, copy: Path) -> None:
        """The disk is lost; an old copy takes its place."""
        self.machine.engine.dispose()
        self.delete_file()
        shutil.copy(copy, self._run)

    def restore(self, base_size: int | None = None) -> None:
        with numbered_keys(9500 + self._copies), self.store.write() as session:
            books.restore_book(session, self.book, self.tick(), base_size)

    def delete_file(self) -> None:
        if self._disk is not None:
            self._disk.close()
            self._disk = None
        for suffix in ("", "-wal", "-shm"):
            self._run.with_name(self._run.name + suffix).unlink(missing_ok=True)

    def close(self) -> None:
        self.machine.engine.dispose()
        self.delete_file()
        for number in range(1, self._copies + 1):
            self._run.with_name(f"{self._run.name}.copy{number}").unlink(missing_ok=True)
