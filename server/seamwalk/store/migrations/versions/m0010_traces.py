"""Where things were, what was changed of them, and when entries came in

Why: what happened to a thing is written in the books of many shows; its history, where it was last seen and
who had it are asked for across all of them. A phone's clock is a claim, so the ledger notes when an entry
came in: nothing was seen later than that. Of older entries it is not known. Where a thing lies follows from
its traces, so the columns that told it go. Of every trace it is asked whether its author took it back, so the
index of what was taken back names the author too. The tables come from the books, and the upgrade makes them.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.add_column("ledger", sa.Column("kept_at", sa.String(length=24), nullable=True))
    with op.batch_alter_table("items") as items:
        items.drop_column("in_case")
        items.drop_column("at_show")
    op.create_table(
        "traces",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("idx", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("item", sa.String(length=20), nullable=False),
        sa.Column("entry", sa.String(length=64), nullable=False),
        sa.Column("type", sa.String(length=40), nullable=False),
        sa.Column("author", sa.String(length=43), nullable=False),
        sa.Column("device", sa.String(length=43), nullable=False),
        sa.Column("at", sa.String(length=24), nullable=False),
        sa.Column("kept_at", sa.String(length=24), nullable=True),
        sa.Column("seen_at", sa.String(length=24), nullable=False),
        sa.Column("case_code", sa.String(length=20), nullable=True),
        sa.Column("show", sa.String(length=17), nullable=True),
        sa.Column("place", sa.String(length=80), nullable=True),
        sa.Column("stage", sa.String(length=10), nullable=True),
        sa.Column("told", sa.String(length=24), nullable=True),
        sa.PrimaryKeyConstraint("book", "idx", "item", name=op.f("pk_traces")),
    )
    op.create_index("ix_traces_item", "traces", ["item", "seen_at"])
    op.create_index("ix_traces_case", "traces", ["case_code", "seen_at"])
    tells = sa.text("told IS NOT NULL")
    op.create_index("ix_traces_told", "traces", ["told"], sqlite_where=tells, postgresql_where=tells)
    targets = sa.text("target IS NOT NULL")
    op.drop_index("ix_acts_target", "acts")
    columns = ["book", "target", "author"]
    op.create_index("ix_acts_target", "acts", columns, sqlite_where=targets, postgresql_where=targets)
    op.create_table(
        "item_changes",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("idx", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("item", sa.String(length=20), nullable=False),
        sa.Column("entry", sa.String(length=64), nullable=False),
        sa.Column("field", sa.String(length=20), nullable=False),
        sa.Column("before", sa.String(length=60), nullable=True),
        sa.Column("after", sa.String(length=60), nullable=True),
        sa.PrimaryKeyConstraint("book", "idx", "item", name=op.f("pk_item_changes")),
    )
    op.create_index("ix_item_changes_entry", "item_changes", ["entry"])
    op.create_table(
        "types_described",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("type", sa.String(length=40), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("book", "kind", "type", name=op.f("pk_types_described")),
    )
    op.create_table(
        "saved_lists",
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.Column("query", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_saved_lists")),
    )
