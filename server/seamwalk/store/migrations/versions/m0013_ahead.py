"""What a fault opens again, what an ok ahead of its turn says of that, who released a stop

Why: a fault at locks left the second look standing that rested on them, and a tap ahead of its turn told
nobody. Entries written before say none of it, so the old rows get nothing.
"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    with op.batch_alter_table("acts") as acts:
        acts.add_column(sa.Column("reopens", sa.JSON(), nullable=False, server_default="[]"))
        acts.add_column(sa.Column("ahead", sa.JSON(), nullable=True))
        acts.add_column(sa.Column("duty", sa.String(length=10), nullable=True))
    with op.batch_alter_table("acts") as acts:
        acts.alter_column("reopens", server_default=None)
