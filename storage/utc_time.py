"""Times in tables: aware in, UTC stored, aware UTC out."""

from datetime import UTC, datetime

from sqlalchemy import DateTime
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator


class UtcTime(TypeDecorator[datetime]):
    """A column type that refuses times without an offset."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The moment in UTC; raises ValueError for a time without an offset."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"got {value.isoformat()}, wanted a time with its offset from UTC")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """The moment as aware UTC, whether the database kept the offset or not."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
