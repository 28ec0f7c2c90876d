"""What has come of a photo so far

Why: a photo comes in pieces, and a network that is lost in the middle costs one piece and not the whole.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "blob_parts",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["book"], ["books.id"], name=op.f("fk_blob_parts_book")),
        sa.PrimaryKeyConstraint("book", "sha256", name=op.f("pk_blob_parts")),
    )
