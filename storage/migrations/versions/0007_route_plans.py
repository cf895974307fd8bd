"""Plans of rigs as they were handed out, and what was reported while they were driven."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the two tables; what is kept already is not touched."""
    op.create_table(
        "route_plans",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("made_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.Column("added_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_route_plans"),
        sa.UniqueConstraint("uuid", name="uq_route_plans_uuid"),
        sa.UniqueConstraint("revision", name="uq_route_plans_revision"),
    )
    op.create_table(
        "route_notes",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("noted_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.Column("added_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_route_notes"),
        sa.UniqueConstraint("uuid", name="uq_route_notes_uuid"),
    )


def downgrade() -> None:
    """Drop the two tables, where neither holds anything."""
    drop_empty("route_plans", "route_notes", version=str(down_revision))
