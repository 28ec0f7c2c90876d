"""Which tile of the stock stands where

Why: the office shows beside a wall's map which tiles stand in it and who wrote that down. The table comes
from the shows' books, and the upgrade makes it from them.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "bindings",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("entry", sa.String(length=64), nullable=False),
        sa.Column("author", sa.String(length=43), nullable=False),
        sa.Column("device", sa.String(length=43), nullable=False),
        sa.Column("at", sa.String(length=24), nullable=False),
        sa.Column("wall", sa.String(length=8), nullable=False),
        sa.Column("tile", sa.String(length=20), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("replaces", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("book", "entry", name=op.f("pk_bindings")),
    )
