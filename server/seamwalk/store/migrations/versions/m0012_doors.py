"""Wrapped private keys, sessions of the office that can be ended, one-time codes

Why: whoever had a copy of the database could sign as the company. Private keys are wrapped under a key that
lies outside of it. The table is made anew, so that PostgreSQL drops the file of the old one; SQLite's file is
written anew after the upgrade (`engine.scrub`). A cookie alone was a login until it expired; now a login is a
row, and logging out ends it. Wrong passwords are no longer counted for everybody in one row: strangers locked
people out. A challenge for a phone is signed by the server and only kept once it is used, so that strangers
fill no table.
"""

import sqlalchemy as sa
from alembic import context, op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    _wrap_keys()
    with op.batch_alter_table("accounts") as accounts:
        accounts.drop_column("failures")
        accounts.drop_column("locked_until")
        accounts.add_column(sa.Column("totp", sa.String(), nullable=True))
        accounts.add_column(sa.Column("totp_step", sa.BigInteger(), nullable=True))
        accounts.add_column(sa.Column("recovery", sa.JSON(), nullable=False, server_default="[]"))
    with op.batch_alter_table("accounts") as accounts:
        accounts.alter_column("recovery", server_default=None)
    op.create_table(
        "office_sessions",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("login", sa.String(length=60), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("browser", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(["login"], ["accounts.login"], name=op.f("fk_office_sessions_login")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_office_sessions")),
    )
    op.create_index("ix_office_sessions_login", "office_sessions", ["login"])
    op.execute("DELETE FROM nonces")


def _wrap_keys() -> None:
    ring = context.config.attributes["ring"]
    rows = op.get_bind().execute(sa.text("SELECT book, purpose, pem FROM keys")).all()
    wrapped = [
        {"book": book, "purpose": purpose, "wrapped": ring.wrap(pem, f"the {purpose} key of book {book}")}
        for book, purpose, pem in rows
    ]
    op.drop_table("keys")
    keys = op.create_table(
        "keys",
        sa.Column("book", sa.String(length=17), nullable=False),
        sa.Column("purpose", sa.String(length=10), nullable=False),
        sa.Column("wrapped", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["book"], ["books.id"], name=op.f("fk_keys_book")),
        sa.PrimaryKeyConstraint("book", "purpose", name=op.f("pk_keys")),
    )
    op.bulk_insert(keys, wrapped)
