"""Consents and stops, delivery reports, and requests to look at a field again."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the three tables; what is kept already is not touched."""
    _consents()
    _delivery_reports()
    _look_requests()


def downgrade() -> None:
    """Drop the three tables, where none holds anything; a stop is never dropped."""
    drop_empty("consents", "delivery_reports", "look_requests", version="0002")


def _consents() -> None:
    op.create_table(
        "consents",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("channel", sa.String(32), nullable=False),
        sa.Column("address_key", sa.String(64), nullable=False),
        sa.Column("told_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.Column("added_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_consents"),
        sa.UniqueConstraint("uuid", name="uq_consents_uuid"),
    )
    op.create_index("ix_consents_channel_address_key", "consents", ["channel", "address_key"])


def _delivery_reports() -> None:
    op.create_table(
        "delivery_reports",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("channel", sa.String(32), nullable=False),
        sa.Column("provider_id", sa.String(200), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("reported_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_delivery_reports"),
        sa.UniqueConstraint(
            "channel",
            "provider_id",
            "state",
            name="uq_delivery_reports_channel_provider_id_state",
        ),
    )


def _look_requests() -> None:
    op.create_table(
        "look_requests",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("uuid", sa.String(36), nullable=False),
        sa.Column("field_id", sa.String(64), nullable=False),
        sa.Column("asked_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("record_sha256", sa.String(64), nullable=False),
        sa.Column("added_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_look_requests"),
        sa.UniqueConstraint("uuid", name="uq_look_requests_uuid"),
    )
