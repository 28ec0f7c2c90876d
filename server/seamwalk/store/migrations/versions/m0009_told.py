"""What was told beside the checks

Why: the office shows a show's log: incidents, procedures walked, parts changed, and what was read off. The
table comes from the shows' books, and the upgrade makes it from them.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "told",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("idx", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("entry", sa.String(length=64), nullable=False),
        sa.Column("type", sa.String(length=40), nullable=False),
        sa.Column("author", sa.String(length=43), nullable=False),
        sa.Column("device", sa.String(length=43), nullable=False),
        sa.Column("at", sa.String(length=24), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("book", "idx", name=op.f("pk_told")),
    )
