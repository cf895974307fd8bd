"""A farm's own errors of forecast lows, as they were kept."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; what is kept already is not touched."""
    op.create_table(
        "own_low_errors",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("kept_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_own_low_errors"),
        sa.UniqueConstraint("uuid", name="uq_own_low_errors_uuid"),
    )


def downgrade() -> None:
    """Drop the table, where it holds nothing: mornings count with what is kept in it."""
    drop_empty("own_low_errors", version=str(down_revision))
