"""Ingest of signed entries with full durability, against plain SQL rows with the same signatures and hashes.

Two baselines, each with one durable transaction a batch: rows of id and text, ES256 and Merkle frontier done;
and the same with the ledger's own rows and indexes, for which the payload has to be read. Neither judges
anything, nor makes tables of findings from what it takes.
"""

import json
import sqlite3
from base64 import urlsafe_b64decode
from pathlib import Path
from statistics import median

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from bench.bench_book import Measured, batches, measured, seconds
from helpers import NOW
from seamwalk.book.entry import entry_id, format_at
from seamwalk.book.jose import base64url_decode, other_form
from seamwalk.book.merkle import Frontier, leaf_hash
from seamwalk.store.engine import make_engine
from seamwalk.store.ledger import intake
from seamwalk.store.migrations import upgrade
from seamwalk.store.tables import LedgerEntry
from seamwalk.web.wsgi import freeze_garbage_collector

ENTRIES, ROUNDS = 10_000, 3
TINY = 100, 1


def ours(book: Measured, texts: list[str]) -> None:
    for batch in batches(texts):
        with book.site.store.write() as session:
            verdicts = intake.ingest(session, book.site.book, batch, NOW)
        if any(verdict.verdict != "kept" for verdict in verdicts):
            raise AssertionError("not all were kept")


COLUMNS = LedgerEntry.__table__.columns
LEDGER = tuple(COLUMNS.keys())
DEFAULTS = {name: column.default.arg if column.default else None for name, column in COLUMNS.items()}
KEPT_AT = format_at(NOW)
ROWS = "CREATE TABLE rows (idx INTEGER PRIMARY KEY, entry TEXT UNIQUE, jws TEXT)"


def checked(key: ec.EllipticCurvePublicKey, text: str) -> bytes:
    """The leaf hash of a text whose signature fits."""
    signed, _, signature = text.rpartition(".")
    raw = base64url_decode(signature)
    der = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
    key.verify(der, signed.encode(), ec.ECDSA(SHA256()))
    return leaf_hash(text.encode())


def plain(path: Path, keys: list[ec.EllipticCurvePublicKey], texts: list[str], *, as_ledger: bool) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=FULL"):
        connection.execute(f"PRAGMA {pragma}")
    if not as_ledger:
        connection.execute(ROWS)
    frontier, number = Frontier(), 0
    for batch in batches(texts):
        rows = []
        for text in batch:
            leaf = checked(keys[number % len(keys)], text)
            frontier = frontier.append(leaf)
            rows.append(ledger_row(number, leaf, text) if as_ledger else (number, leaf.hex(), text))
            number += 1
        connection.execute("BEGIN IMMEDIATE")
        table = LEDGER if as_ledger else ("idx", "entry", "jws")
        columns, marks = ", ".join(table), ", ".join("?" * len(table))
        into = f"{'ledger' if as_ledger else 'rows'} ({columns})"
        connection.executemany(f"INSERT INTO {into} VALUES ({marks})", rows)
        connection.execute("COMMIT")
    connection.close()


def ledger_row(number: int, leaf: bytes, text: str) -> tuple[object, ...]:
    """A row in the order of `LEDGER`: what the entry says, what was worked out, defaults for the rest."""
    header, payload, _ = (part + "=" * (-len(part) % 4) for part in text.split("."))
    told = DEFAULTS | json.loads(urlsafe_b64decode(payload))
    told |= {"device": json.loads(urlsafe_b64decode(header))["kid"], "idx": number, "jws": text}
    told |= {"entry": leaf.hex(), "other": entry_id(other_form(text)), "kept_at": KEPT_AT}
    return tuple(told[name] for name in LEDGER)


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    entries, rounds = TINY if tiny else (ENTRIES, ROUNDS)
    freeze_garbage_collector()
    rates: list[tuple[float, float, float]] = []
    for _ in range(rounds):
        with measured() as book:
            texts = book.texts(entries)
            keys = [key._raw.public_key() for key in book.keys]
            same = book.folder / "same.db"
            engine = make_engine(f"sqlite:///{same}")
            upgrade(engine)
            engine.dispose()
            own = seconds(lambda: ours(book, texts))  # noqa: B023
            rows = seconds(lambda: plain(book.folder / "rows.db", keys, texts, as_ledger=False))  # noqa: B023
            ledgers = seconds(lambda: plain(same, keys, texts, as_ledger=True))  # noqa: B023
            rates.append((entries / own, entries / rows, entries / ledgers))
    own, rows, ledgers = (median(column) for column in zip(*rates, strict=True))
    print(f"ingest {own:.0f} entries/s; goal at least x 0.5 of plain SQL rows with signatures and hashes")
    print(f"the ledger's rows and indexes {ledgers:.0f}/s: x {own / ledgers:.2f}")
    print(f"rows of id and text alone {rows:.0f}/s: x {own / rows:.2f}")
