"""What the first edition left, and how the code of now opens it."""

import gzip
import json
from datetime import datetime
from pathlib import Path
from typing import Any

from seamwalk.store.engine import Store
from seamwalk.store.tables import CheckStateRow, LedgerEntry

HERE = Path(__file__).resolve().parent
EXPECTED: dict[str, Any] = json.loads((HERE / "expected.json").read_text("utf-8"))
BOOKS: dict[str, dict[str, Any]] = EXPECTED["books"]
NOW = datetime.fromisoformat(EXPECTED["made_at"])


def unpacked(name: str) -> bytes:
    return gzip.decompress((HERE / name).read_bytes())


def export_lines(slug: str) -> list[bytes]:
    return unpacked(f"{slug}.export.jsonl.gz").splitlines(keepends=True)


def kept(store: Store, slug: str) -> list[str]:
    """The texts of a book in their order."""
    with store.read() as session:
        rows = session.query(LedgerEntry.jws).filter(LedgerEntry.book == BOOKS[slug]["book"])
        return [row.jws for row in rows.order_by(LedgerEntry.idx)]


def states(store: Store, slug: str) -> dict[str, list[Any]]:
    with store.read() as session:
        rows = session.query(CheckStateRow).filter(CheckStateRow.book == BOOKS[slug]["book"])
        return {row.check: [row.rank, sorted(row.standing)] for row in rows}
