"""kill -9 on the real server under load, at random moments: nothing acknowledged is lost or doubled."""

import random
import socket
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from http.client import HTTPException
from pathlib import Path

import pytest

from helpers import NOW, make_site
from real_server import HttpClient, Server
from seamwalk.book.parsing import read_kept
from seamwalk.book.verify import verify_export
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.tables import HeldEntry, LedgerEntry
from seamwalk_demo.crew import NotAsExpected, SimulatedPhone

KILLS = 6
PHONES = 4
CHECKS = [f"A/tile/{column}.{row}/condition:sound" for column in (1, 2, 3) for row in (1, 2)]


def work(phone: SimulatedPhone, rng: random.Random, over: threading.Event) -> None:
    """Write and sync until it is over; a call that fails is tried again."""
    while not over.is_set():
        for _ in range(rng.randint(1, 5)):
            body = {"plan": "0" * 64, "checks": [rng.choice(CHECKS)], "result": "ok", "answers": []}
            phone.write("found", body, NOW)
        try:
            phone.sync()
        except (OSError, HTTPException, NotAsExpected):
            over.wait(0.05)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    made = Server(tmp_path)
    yield made
    made.kill()


def test_a_phone_that_went_out_of_reach_does_not_hold_the_stop(server: Server) -> None:
    """Its request came in half; the server once waited for the rest forever."""
    server.run("account", "anna", given="long password\n")
    server.start()
    with socket.create_connection(("127.0.0.1", server.port)) as connection:
        head = b"POST /api/v1/join HTTP/1.1\r\nHost: localhost\r\nX-Seamwalk: 1\r\n"
        connection.sendall(head + b"Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{")
        server.stop()
    assert server.process is None


@pytest.mark.long
def test_killed_under_load_it_keeps_what_it_acknowledged(server: Server, tmp_path: Path) -> None:
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    site.clock[0] = datetime.now(UTC)
    tokens = [site.invite() for _ in range(PHONES)]
    site.store.engine.dispose()
    server.start()
    phones = []
    for number, token in enumerate(tokens):
        phone = SimulatedPhone(HttpClient(server.url), site.book)
        phone.join(token, f"Crew {number}")
        phones.append(phone)
    over = threading.Event()
    threads = [
        threading.Thread(target=work, args=(phone, random.Random(number), over))
        for number, phone in enumerate(phones)
    ]
    for thread in threads:
        thread.start()
    moments = random.Random(20261125)
    for _ in range(KILLS):
        time.sleep(moments.uniform(0.2, 0.8))
        server.kill()
        server.start()
    over.set()
    for thread in threads:
        thread.join()
    for phone in phones:
        phone.sync()
        assert phone.pending == []
    server.stop()
    check_book(tmp_path, site.book, site.owner, phones)


def check_book(folder: Path, book: str, owner: str, phones: list[SimulatedPhone]) -> None:
    acknowledged = set().union(*(phone.acknowledged for phone in phones))
    engine = make_engine(f"sqlite:///{folder / 'seamwalk.db'}")
    with Store(engine).write() as session:
        lines = [line.encode() for line in export_book(session, find_book(session, book))]
        verify_export(lines, owner)
        texts = [row.jws for row in session.query(LedgerEntry).order_by(LedgerEntry.idx)]
        ids = [read_kept(text).id for text in texts]
        assert len(set(ids)) == len(ids)
        assert len(acknowledged) > 10 * KILLS
        assert acknowledged <= set(ids)
        assert session.query(HeldEntry).count() == 0
        states = wall_states(session, book, "A")
        rebuild(session, book)
        assert wall_states(session, book, "A") == states
    engine.dispose()
