"""Harvests, freezes and the looks at what froze."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the three tables; what is kept already is not touched."""
    _append_only("harvests", "harvested_utc")
    _append_only("freezes", "froze_utc")
    _append_only("freeze_inspections", "inspected_utc")


def downgrade() -> None:
    """Drop the three tables, where none holds anything."""
    drop_empty("harvests", "freezes", "freeze_inspections", version="0001")


def _append_only(name: str, moment: str) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("field_id", sa.String(64), nullable=False),
        sa.Column(moment, UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.Column("added_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.UniqueConstraint("uuid", name=f"uq_{name}_uuid"),
    )
