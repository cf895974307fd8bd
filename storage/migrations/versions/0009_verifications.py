"""What forecasts were found to be worth when somebody last held them against observations."""

import sqlalchemy as sa
from alembic import op

from storage.utc_time import UtcTime

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; what is kept already is not touched."""
    op.create_table(
        "verifications",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("verified_utc", UtcTime, nullable=False),
        sa.Column("scores", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_verifications"),
    )


def downgrade() -> None:
    """Drop the table: the scores follow from what is kept, and can be made again."""
    op.drop_table("verifications")
