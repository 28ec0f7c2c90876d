"""A thing's colour batch and its maker's serial number

Why: batches are kept together in a wall and faults are counted by batch; the maker asks for the serial.
Nothing was written of either before, so the columns begin empty.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    for name in ("batch", "maker_serial"):
        op.add_column("items", sa.Column(name, sa.String(length=60), nullable=True))
