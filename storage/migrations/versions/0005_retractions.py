"""What was entered wrongly and taken back."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of retractions; what is kept already is not touched."""
    op.create_table(
        "retractions",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("field_id", sa.String(64), nullable=False),
        sa.Column("retracted_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.Column("added_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_retractions"),
        sa.UniqueConstraint("uuid", name="uq_retractions_uuid"),
    )


def downgrade() -> None:
    """Drop the table, where it holds nothing: without it what was taken back would count again."""
    drop_empty("retractions", version="0004")
