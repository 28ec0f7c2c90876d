"""Labels that must not be used any more

Why: a misprinted or lost label, or that of a scrapped thing, has an answer of its own when it is scanned. The
table comes from the company's book.
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "revoked_labels",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("label", sa.String(length=20), nullable=False),
        sa.Column("reason", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(["book"], ["books.id"], name=op.f("fk_revoked_labels_book_books")),
        sa.PrimaryKeyConstraint("book", "label", name=op.f("pk_revoked_labels")),
    )
