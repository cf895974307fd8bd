"""Accounts of the board, who has come in, and addresses of feeds."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the three tables; what is kept already is not touched."""
    op.create_table(
        "board_accounts",
        sa.Column("name", sa.String(40), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_board_accounts"),
    )
    op.create_table(
        "board_sessions",
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("account", sa.String(40), nullable=False),
        sa.Column("begun_utc", UtcTime, nullable=False),
        sa.Column("seen_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_board_sessions"),
    )
    op.create_table(
        "board_feeds",
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("account", sa.String(40), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("made_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_board_feeds"),
    )


def downgrade() -> None:
    """Drop the tables, accounts and feeds where there are none; sessions are no record."""
    drop_empty("board_accounts", "board_feeds", version=str(down_revision))
    op.drop_table("board_sessions")
