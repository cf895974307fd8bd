"""The tables, as the newest migration leaves them.

Whole records are kept as text or blobs, so a new attribute of a noun needs no migration; columns
beside them are what questions are asked by.
"""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from storage.utc_time import UtcTime

# Constraints without a name cannot be changed later in an embedded database.
metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _sealed(name: str, moment: str) -> Table:
    """Sealed records of fields, whose column ``moment`` says when each happened."""
    return Table(
        name,
        metadata,
        Column("id", Integer, primary_key=True),
        Column("uuid", String(36), nullable=False),
        Column("field_id", String(64), nullable=False),
        Column(moment, UtcTime, nullable=False),
        Column("record", Text, nullable=False),
        Column("record_sha256", String(64), nullable=False),
        Column("added_utc", UtcTime, nullable=False),
        UniqueConstraint("uuid"),
    )


fields = Table(
    "fields",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("first_seen_utc", UtcTime, nullable=False),
    Column("last_seen_utc", UtcTime, nullable=False),
    Column("record", Text, nullable=False),
)

visits = _sealed("visits", "observed_utc")

rejected_visits = Table(
    "rejected_visits",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("reason", Text, nullable=False),
    Column("raw", Text, nullable=False),
    Column("rejected_utc", UtcTime, nullable=False),
)

sprays = _sealed("sprays", "sprayed_utc")
harvests = _sealed("harvests", "harvested_utc")
freezes = _sealed("freezes", "froze_utc")
freeze_inspections = _sealed("freeze_inspections", "inspected_utc")
retractions = _sealed("retractions", "retracted_utc")

grid_cells = Table(
    "grid_cells",
    metadata,
    Column("place", String(24), primary_key=True),
    Column("cell_id", Text, nullable=False),
    Column("time_zone", Text),
    Column("resolved_utc", UtcTime, nullable=False),
)

forecasts = Table(
    "forecasts",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("cell_id", Text, nullable=False),
    Column("issued_utc", UtcTime),
    Column("fetched_utc", UtcTime, nullable=False),
    Column("block", LargeBinary, nullable=False),
    UniqueConstraint("cell_id", "issued_utc"),
)

plans = Table(
    "plans",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(32), nullable=False),
    Column("local_date", Date, nullable=False),
    Column("made_utc", UtcTime, nullable=False),
    Column("report", LargeBinary, nullable=False),
    Column("inputs", LargeBinary, nullable=False),
    Index(None, "kind", "local_date"),
)

deliveries = Table(
    "deliveries",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("person_id", String(64), nullable=False),
    Column("local_date", Date, nullable=False),
    Column("kind", String(32), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("channel", String(32), nullable=False),
    Column("address_masked", Text, nullable=False),
    Column("message_id", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("payload", LargeBinary, nullable=False),
    Column("state", String(16), nullable=False),
    Column("attempt", Integer, nullable=False),
    Column("in_doubt", Boolean, nullable=False),
    Column("permanent", Boolean, nullable=False),
    Column("worker", Text),
    Column("planned_utc", UtcTime, nullable=False),
    Column("claimed_utc", UtcTime),
    Column("lease_until_utc", UtcTime),
    Column("next_try_utc", UtcTime),
    Column("sent_utc", UtcTime),
    Column("provider_id", Text),
    Column("error", Text),
    UniqueConstraint("person_id", "local_date", "kind", "revision"),
    CheckConstraint(
        "state IN ('pending', 'sending', 'sent', 'failed', 'suppressed')", name="known_state"
    ),
    Index(None, "state"),
    Index(None, "local_date"),
)

runs = Table(
    "runs",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(32), nullable=False),
    Column("local_date", Date, nullable=False),
    Column("started_utc", UtcTime, nullable=False),
    Column("finished_utc", UtcTime),
    Column("exit_code", Integer),
    Column("outcome", String(16)),
    Index(None, "kind", "local_date"),
)

consents = Table(
    "consents",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("uuid", String(36), nullable=False),
    Column("channel", String(32), nullable=False),
    Column("address_key", String(64), nullable=False),
    Column("told_utc", UtcTime, nullable=False),
    Column("record", Text, nullable=False),
    Column("record_sha256", String(64), nullable=False),
    Column("added_utc", UtcTime, nullable=False),
    UniqueConstraint("uuid"),
    Index(None, "channel", "address_key"),
)

delivery_reports = Table(
    "delivery_reports",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("channel", String(32), nullable=False),
    Column("provider_id", String(200), nullable=False),
    Column("state", String(16), nullable=False),
    Column("words", Text, nullable=False),
    Column("reported_utc", UtcTime, nullable=False),
    UniqueConstraint("channel", "provider_id", "state"),
)

look_requests = _sealed("look_requests", "asked_utc")

own_low_errors = Table(
    "own_low_errors",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("uuid", String(36), nullable=False),
    Column("kept_utc", UtcTime, nullable=False),
    Column("record", Text, nullable=False),
    Column("record_sha256", String(64), nullable=False),
    UniqueConstraint("uuid"),
)

verifications = Table(
    "verifications",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("verified_utc", UtcTime, nullable=False),
    Column("scores", Text, nullable=False),
)

leases = Table(
    "leases",
    metadata,
    Column("name", String(32), primary_key=True),
    Column("holder", Text, nullable=False),
    Column("den", Text, nullable=False),
    Column("until_utc", UtcTime, nullable=False),
)

route_plans = Table(
    "route_plans",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("uuid", String(36), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("made_utc", UtcTime, nullable=False),
    Column("record", Text, nullable=False),
    Column("record_sha256", String(64), nullable=False),
    Column("added_utc", UtcTime, nullable=False),
    UniqueConstraint("uuid"),
    UniqueConstraint("revision"),
)

route_notes = Table(
    "route_notes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("uuid", String(36), nullable=False),
    Column("noted_utc", UtcTime, nullable=False),
    Column("record", Text, nullable=False),
    Column("record_sha256", String(64), nullable=False),
    Column("added_utc", UtcTime, nullable=False),
    UniqueConstraint("uuid"),
)

board_accounts = Table(
    "board_accounts",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("record", Text, nullable=False),
)

board_sessions = Table(
    "board_sessions",
    metadata,
    Column("key", String(64), primary_key=True),
    Column("account", String(40), nullable=False),
    Column("begun_utc", UtcTime, nullable=False),
    Column("seen_utc", UtcTime, nullable=False),
)

board_feeds = Table(
    "board_feeds",
    metadata,
    Column("key", String(64), primary_key=True),
    Column("account", String(40), nullable=False),
    Column("record", Text, nullable=False),
    Column("made_utc", UtcTime, nullable=False),
)
