"""One entry for each signing input

Why: anybody can make a second valid signature of a first one, and a text under it was taken for a new entry.
References to an entry may name either form, so the ledger knows both ids; what stands in a book twice, and
what only such a second text let in, is marked as without effect. What a device names as its last entry is
there to be compared. What is held is found by device and number. Which entries name a text or photo is
written down, since whoever may not read the entry may not read them either.
"""

from collections.abc import Iterator
from itertools import islice
from typing import Any

import sqlalchemy as sa
from alembic import op

from seamwalk.book.parsing import read_kept

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

_AT_ONCE = 1000


def upgrade() -> None:
    """Apply."""
    hash_ = sa.String(length=64)
    with op.batch_alter_table("ledger") as ledger:
        ledger.alter_column("twin", new_column_name="fork", existing_type=sa.Boolean(), nullable=False)
        ledger.add_column(sa.Column("other", hash_, nullable=True))
        ledger.add_column(sa.Column("prev", hash_, nullable=True))
        ledger.add_column(sa.Column("void", sa.String(length=20), nullable=True))
    _tell_ledger(op.get_bind())
    with op.batch_alter_table("ledger") as ledger:
        ledger.alter_column("other", existing_type=hash_, nullable=False)
    op.create_index("ix_ledger_other", "ledger", ["book", "other"])
    void = sa.text("void IS NOT NULL")
    op.create_index("ix_ledger_void", "ledger", ["book"], sqlite_where=void, postgresql_where=void)
    op.create_table(
        "blob_uses",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("sha256", hash_, nullable=False),
        sa.Column("idx", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.PrimaryKeyConstraint("book", "sha256", "idx", name=op.f("pk_blob_uses")),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_held_device_n", "held", ["book", "device", "n"])
    for table in ("acts", "plans", "bindings"):  # made again from the books
        op.execute(sa.text(f"DELETE FROM {table}"))  # noqa: S608
        op.add_column(table, sa.Column("other", hash_, nullable=False))


def _tell_ledger(connection: sa.Connection) -> None:
    """Write down what each entry names and its other id."""
    change = sa.text("UPDATE ledger SET other = :other, prev = :prev WHERE book = :book AND idx = :idx")
    rows = connection.execute(sa.text("SELECT book, idx, jws FROM ledger")).all()
    told = _told(iter(rows))
    while some := list(islice(told, _AT_ONCE)):
        connection.execute(change, some)


def _told(rows: Iterator[Any]) -> Iterator[dict[str, object]]:
    for book, idx, jws in rows:
        entry = read_kept(jws)
        yield {"book": book, "idx": idx, "other": entry.other_id, "prev": entry.prev}
