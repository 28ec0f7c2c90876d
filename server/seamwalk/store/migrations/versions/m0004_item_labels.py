"""Further labels of a thing

Why: a label that cannot be read any more is replaced by one with a code of its own, and the old code must
still lead to the same thing. The table comes from the company's book.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "item_labels",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("label", sa.String(length=20), nullable=False),
        sa.Column("item", sa.String(length=20), nullable=False),
        sa.ForeignKeyConstraint(["book"], ["books.id"], name=op.f("fk_item_labels_book_books")),
        sa.PrimaryKeyConstraint("book", "label", name=op.f("pk_item_labels")),
    )
