"""Know at a glance which checks have an ok that answers something

Why: only there all acts have to be added up anew when another comes in. The table comes from the books: what
is in it is thrown away, and the upgrade makes it again.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.execute("DELETE FROM act_checks")
    with op.batch_alter_table("act_checks") as batch:
        batch.add_column(sa.Column("answering", sa.Boolean(), nullable=False))
