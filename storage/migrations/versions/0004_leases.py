"""Who is at work on what, and until when."""

import sqlalchemy as sa
from alembic import op

from storage.utc_time import UtcTime

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of leases; what is kept already is not touched."""
    op.create_table(
        "leases",
        sa.Column("name", sa.String(32), nullable=False),
        sa.Column("holder", sa.Text, nullable=False),
        sa.Column("den", sa.Text, nullable=False),
        sa.Column("until_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("name", name="pk_leases"),
    )


def downgrade() -> None:
    """Drop the table of leases, whatever it holds: that is who is at work, no record."""
    op.drop_table("leases")
