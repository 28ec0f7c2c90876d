"""Restores, phones that take another's place, and plans that know what they replace

Why: a server that came back from an old copy must notice it (seen_heads), an epoch is the minute of a restore
and needs more than 32 bits, an invite may be for somebody who is known already, and a plan that comes late
must not count because of its place in the book.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "seen_heads",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("epoch", sa.BigInteger(), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("root", sa.String(length=64), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["book"], ["books.id"], name=op.f("fk_seen_heads_book")),
        sa.PrimaryKeyConstraint("book", "epoch", "size", "root", name=op.f("pk_seen_heads")),
    )
    if op.get_bind().dialect.name != "sqlite":  # whose whole numbers have 64 bits as they are
        for table in ("books", "heads"):
            op.alter_column(table, "epoch", type_=sa.BigInteger(), existing_type=sa.Integer())
    with op.batch_alter_table("invites") as batch:
        batch.add_column(sa.Column("person", sa.String(length=17), nullable=True))
    with op.batch_alter_table("plans") as batch:
        batch.add_column(sa.Column("replaces", sa.String(length=64), nullable=True))
        batch.drop_column("replaced_by")
