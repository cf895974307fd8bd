"""What gateways told later of messages they had taken: one row for each state, never changed."""

from datetime import datetime

from sqlalchemy import insert, select

from farm.delivery_report import DeliveryReport
from storage.database import Database
from storage.record_text import plain_text
from storage.tables import delivery_reports

#: States from the least to the most final; a late or repeated report never takes one back.
STATES = ("unknown", "taken", "delivered", "undelivered")


class DeliveryReportStore:
    """Reports, kept once for each message and state."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, report: DeliveryReport) -> bool:
        """Keep a report; False where the same state of the same message is kept already."""
        columns = delivery_reports.c
        same = select(columns.id).where(
            columns.channel == report.channel,
            columns.provider_id == report.provider_id,
            columns.state == report.state,
        )
        with self._database.write() as connection:
            if connection.execute(same).first() is not None:
                return False
            row = vars(report) | {"words": plain_text(report.words)}
            connection.execute(insert(delivery_reports), [row])
        return True

    def of_message(self, channel: str, provider_id: str) -> DeliveryReport | None:
        """The most final state of a message, or None where nothing was reported."""
        columns = delivery_reports.c
        told = self._reports(columns.channel == channel, columns.provider_id == provider_id)
        return max(told, key=lambda one: STATES.index(one.state), default=None)

    def undelivered(self, since_utc: datetime) -> tuple[DeliveryReport, ...]:
        """Messages that did not arrive, reported since a moment."""
        columns = delivery_reports.c
        return self._reports(columns.state == "undelivered", columns.reported_utc >= since_utc)

    def since(self, since_utc: datetime) -> tuple[DeliveryReport, ...]:
        """Everything reported since a moment, in the order it was."""
        return self._reports(delivery_reports.c.reported_utc >= since_utc)

    def _reports(self, *where: object) -> tuple[DeliveryReport, ...]:
        columns = delivery_reports.c
        asked = select(
            columns.channel,
            columns.provider_id,
            columns.state,
            columns.words,
            columns.reported_utc,
        )
        with self._database.read() as connection:
            rows = connection.execute(asked.where(*where).order_by(columns.id)).all()  # type: ignore[arg-type]
        return tuple(DeliveryReport(*row) for row in rows)
