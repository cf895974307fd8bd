"""The first tables."""

import sqlalchemy as sa
from alembic import op

from storage.migrations.drop import drop_empty
from storage.utc_time import UtcTime

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make every table of the first version."""
    _fields()
    _append_only("visits", "observed_utc")
    _rejected_visits()
    _append_only("sprays", "sprayed_utc")
    _forecasts()
    _plans()
    _deliveries()
    _runs()


def downgrade() -> None:
    """Drop every table, where none holds anything."""
    drop_empty(
        *("fields", "visits", "rejected_visits", "sprays", "grid_cells", "forecasts"),
        *("plans", "deliveries", "runs"),
        version="none",
    )


def _fields() -> None:
    op.create_table(
        "fields",
        sa.Column("id", sa.String(64), nullable=False),
        sa.Column("first_seen_utc", UtcTime, nullable=False),
        sa.Column("last_seen_utc", UtcTime, nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_fields"),
    )


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


def _rejected_visits() -> None:
    op.create_table(
        "rejected_visits",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("raw", sa.Text, nullable=False),
        sa.Column("rejected_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_rejected_visits"),
    )


def _forecasts() -> None:
    op.create_table(
        "grid_cells",
        sa.Column("place", sa.String(24), nullable=False),
        sa.Column("cell_id", sa.Text, nullable=False),
        sa.Column("time_zone", sa.Text),
        sa.Column("resolved_utc", UtcTime, nullable=False),
        sa.PrimaryKeyConstraint("place", name="pk_grid_cells"),
    )
    op.create_table(
        "forecasts",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("cell_id", sa.Text, nullable=False),
        sa.Column("issued_utc", UtcTime),
        sa.Column("fetched_utc", UtcTime, nullable=False),
        sa.Column("block", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_forecasts"),
        sa.UniqueConstraint("cell_id", "issued_utc", name="uq_forecasts_cell_id_issued_utc"),
    )


def _plans() -> None:
    op.create_table(
        "plans",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("local_date", sa.Date, nullable=False),
        sa.Column("made_utc", UtcTime, nullable=False),
        sa.Column("report", sa.LargeBinary, nullable=False),
        sa.Column("inputs", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_plans"),
    )
    op.create_index("ix_plans_kind_local_date", "plans", ["kind", "local_date"])


def _deliveries() -> None:
    op.create_table(
        "deliveries",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("person_id", sa.String(64), nullable=False),
        sa.Column("local_date", sa.Date, nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("channel", sa.String(32), nullable=False),
        sa.Column("address_masked", sa.Text, nullable=False),
        sa.Column("message_id", sa.Text, nullable=False),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("payload", sa.LargeBinary, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("attempt", sa.Integer, nullable=False),
        sa.Column("in_doubt", sa.Boolean, nullable=False),
        sa.Column("permanent", sa.Boolean, nullable=False),
        sa.Column("worker", sa.Text),
        sa.Column("planned_utc", UtcTime, nullable=False),
        sa.Column("claimed_utc", UtcTime),
        sa.Column("lease_until_utc", UtcTime),
        sa.Column("next_try_utc", UtcTime),
        sa.Column("sent_utc", UtcTime),
        sa.Column("provider_id", sa.Text),
        sa.Column("error", sa.Text),
        sa.CheckConstraint(
            "state IN ('pending', 'sending', 'sent', 'failed', 'suppressed')",
            name=op.f("ck_deliveries_known_state"),
        ),
        sa.PrimaryKeyConstraint("id", name="pk_deliveries"),
        sa.UniqueConstraint(
            "person_id",
            "local_date",
            "kind",
            "revision",
            name="uq_deliveries_person_id_local_date_kind_revision",
        ),
    )
    op.create_index("ix_deliveries_local_date", "deliveries", ["local_date"])
    op.create_index("ix_deliveries_state", "deliveries", ["state"])


def _runs() -> None:
    op.create_table(
        "runs",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("local_date", sa.Date, nullable=False),
        sa.Column("started_utc", UtcTime, nullable=False),
        sa.Column("finished_utc", UtcTime),
        sa.Column("exit_code", sa.Integer),
        sa.Column("outcome", sa.String(16)),
        sa.PrimaryKeyConstraint("id", name="pk_runs"),
    )
    op.create_index("ix_runs_kind_local_date", "runs", ["kind", "local_date"])
