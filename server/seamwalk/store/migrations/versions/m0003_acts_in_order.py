"""Acts in the order of the book, and the checks where an ok answers something

Why: rows that follow each other are written fast, and only where something is answered all acts of a check
have to be added up anew. These tables come from the books: they are thrown away here, and the upgrade makes
them again. The ledger is asked by type only for the few entries that change whom the book trusts.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    for table in ("act_checks", "acts", "check_states"):
        op.drop_table(table)
    op.create_table(
        "acts",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("idx", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("entry", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("author", sa.String(length=43), nullable=False),
        sa.Column("device", sa.String(length=43), nullable=False),
        sa.Column("at", sa.String(length=24), nullable=False),
        sa.Column("checks", sa.JSON(), nullable=False),
        sa.Column("weight", sa.String(length=10), nullable=True),
        sa.Column("reason", sa.String(length=40), nullable=True),
        sa.Column("note_blob", sa.String(length=64), nullable=True),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.Column("target", sa.String(length=64), nullable=True),
        sa.PrimaryKeyConstraint("book", "idx", name=op.f("pk_acts")),
        sqlite_with_rowid=False,
    )
    op.drop_index("ix_ledger_type", "ledger")
    where = sa.text(
        "type IN ('book_opened', 'device_admitted', 'device_revoked', 'entry_admitted', 'head_key_changed',"
        " 'restored')"
    )
    op.create_index("ix_ledger_trust", "ledger", ["book", "idx"], sqlite_where=where, postgresql_where=where)
    where = sa.text("target IS NOT NULL")
    op.create_index("ix_acts_target", "acts", ["book", "target"], sqlite_where=where, postgresql_where=where)
    op.create_table(
        "act_checks",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("check_id", sa.String(length=100), nullable=False),
        sa.Column("idx", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("answering", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("book", "check_id", "idx", name=op.f("pk_act_checks")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "check_states",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("check_id", sa.String(length=100), nullable=False),
        sa.Column("rank", sa.Integer(), nullable=False),
        sa.Column("standing", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("book", "check_id", name=op.f("pk_check_states")),
        sqlite_with_rowid=False,
    )
