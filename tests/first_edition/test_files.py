"""The files that the first edition froze are still what both sides read."""

from typing import Any

import pytest
from pydantic import TypeAdapter
from sqlalchemy import select

from seamwalk.book.parsing import read_kept
from seamwalk.domain.checks.file import ChecksFile
from seamwalk.domain.stock.files import PrepFile, StockFile
from seamwalk.procedures.shape import EditionFile
from seamwalk.store.engine import Store
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.tables import LedgerEntry

SHAPES: dict[str, TypeAdapter[Any]] = {
    "checks_file": TypeAdapter(ChecksFile),
    "stock_file": TypeAdapter(StockFile),
    "prep_file": TypeAdapter(PrepFile),
    "edition_file": TypeAdapter(EditionFile),
}


def frozen(store: Store, member: str) -> list[bytes]:
    """The files that entries name by a member, as far as they are here."""
    with store.read() as session:
        entries = [read_kept(row.jws) for row in session.scalars(select(LedgerEntry))]
        files = [
            read_blob(session, entry.book, entry.body[member])
            for entry in entries
            if isinstance(entry.body, dict) and entry.body.get(member)
        ]
    return [file for file in files if file is not None]


@pytest.mark.parametrize("member", SHAPES)
def test_a_frozen_file_has_the_shape_that_is_read_today(store: Store, member: str) -> None:
    files = frozen(store, member)
    assert files or member in ("prep_file", "edition_file")
    for file in files:
        SHAPES[member].validate_json(file)
