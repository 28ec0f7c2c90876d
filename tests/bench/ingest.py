"""Ingest of signed entries with full durability, against plain SQL rows with the same signatures and hashes.

The baseline does what cannot be left out: ES256 verification and the Merkle frontier of each entry, one row
each, one durable transaction a batch. It judges nothing, and makes no tables from what it takes.
"""

import sqlite3
from pathlib import Path
from statistics import median

from bench_book import Measured, batches, measured, seconds
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from helpers import NOW
from seamwalk.book.jose import base64url_decode
from seamwalk.book.merkle import Frontier, leaf_hash
from seamwalk.store import ledger

ENTRIES = 10_000
ROUNDS = 3


def ours(book: Measured, texts: list[str]) -> None:
    for batch in batches(texts):
        with book.site.store.write() as session:
            verdicts = ledger.ingest(session, book.site.book, batch, NOW)
        if any(verdict.verdict != "kept" for verdict in verdicts):
            raise AssertionError("not all were kept")


def plain(folder: Path, keys: list[ec.EllipticCurvePublicKey], texts: list[str]) -> None:
    connection = sqlite3.connect(folder / "plain.db", isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=FULL"):
        connection.execute(f"PRAGMA {pragma}")
    connection.execute("CREATE TABLE rows (idx INTEGER PRIMARY KEY, entry TEXT UNIQUE, jws TEXT)")
    frontier, number = Frontier(), 0
    for batch in batches(texts):
        connection.execute("BEGIN IMMEDIATE")
        rows = []
        for text in batch:
            signed, _, signature = text.rpartition(".")
            raw = base64url_decode(signature)
            der = encode_dss_signature(int.from_bytes(raw[:32]), int.from_bytes(raw[32:]))
            keys[number % len(keys)].verify(der, signed.encode(), ec.ECDSA(SHA256()))
            leaf = leaf_hash(text.encode())
            frontier = frontier.append(leaf)
            rows.append((number, leaf.hex(), text))
            number += 1
        connection.executemany("INSERT INTO rows VALUES (?, ?, ?)", rows)
        connection.execute("COMMIT")
    connection.close()


def main() -> None:
    """Run and print."""
    rates: list[tuple[float, float]] = []
    for _ in range(ROUNDS):
        with measured() as book:
            texts = book.texts(ENTRIES)
            keys = [key._raw.public_key() for key in book.keys]
            slow = seconds(lambda: ours(book, texts))  # noqa: B023
            fast = seconds(lambda: plain(book.folder, keys, texts))  # noqa: B023
            rates.append((ENTRIES / slow, ENTRIES / fast))
    own, raw = median(rate for rate, _ in rates), median(rate for _, rate in rates)
    print(f"ingest {own:.0f} entries/s, plain SQL rows {raw:.0f}/s: x {own / raw:.2f} (goal at least 0.5)")
