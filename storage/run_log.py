"""Which mornings ran, and how they ended."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, insert, select, update

from storage.database import Database
from storage.tables import runs


@dataclass(frozen=True)
class Run:
    """A run as it is kept; one under way or cut off has no end."""

    local_date: date
    started_utc: datetime
    finished_utc: datetime | None
    exit_code: int | None
    outcome: str | None


class RunLog:
    """One row for each run of a local date's morning; a run cut off has no end."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def begin(self, local_date: date, kind: str, now: datetime) -> int:
        """Record that a run begins; its number, for `finish`."""
        row = {"local_date": local_date, "kind": kind, "started_utc": now}
        with self._database.write() as connection:
            added = insert(runs).values(row).returning(runs.c.id)
            number: int = connection.execute(added).scalar_one()
        return number

    def finish(self, number: int, exit_code: int, now: datetime, *, sent: bool) -> None:
        """Record how a run ended, and whether its digests were handed to the outbox and tried."""
        outcome = "sent" if sent else "not_sent"
        values = {"exit_code": exit_code, "finished_utc": now, "outcome": outcome}
        with self._database.write() as connection:
            connection.execute(update(runs).where(runs.c.id == number).values(values))

    def give_up(self, local_date: date, now: datetime, kind: str = "morning") -> None:
        """Record that a date's run was not made in time and will not be."""
        self.keep(kind, local_date, None, "missed", now)

    def last_finished(self, kind: str = "morning") -> date | None:
        """The newest local date whose run came to an end, or None where none did."""
        ended = runs.c.outcome.in_(("sent", "not_sent"))
        asked = select(func.max(runs.c.local_date)).where(runs.c.kind == kind, ended)
        with self._database.read() as connection:
            newest: date | None = connection.execute(asked).scalar_one()
        return newest

    def keep(
        self, kind: str, local_date: date, exit_code: int | None, outcome: str, now: datetime
    ) -> None:
        """Record something that is over already, such as a backup; no code where nothing ran."""
        row = {"local_date": local_date, "kind": kind, "started_utc": now, "finished_utc": now}
        ended = {"exit_code": exit_code, "outcome": outcome}
        with self._database.write() as connection:
            connection.execute(insert(runs).values(row | ended))

    def newest(self, kind: str) -> Run | None:
        """The run of a kind that began last, or None where none did."""
        asked = select(runs).where(runs.c.kind == kind)
        last = asked.order_by(runs.c.started_utc.desc(), runs.c.id.desc()).limit(1)
        with self._database.read() as connection:
            row = connection.execute(last).one_or_none()
        if row is None:
            return None
        ended = (row.finished_utc, row.exit_code, row.outcome)
        return Run(row.local_date, row.started_utc, *ended)

    def last_whole(self, kind: str) -> datetime | None:
        """When something last ended with exit code 0, or None where it never did."""
        asked = select(func.max(runs.c.finished_utc)).where(
            runs.c.kind == kind, runs.c.exit_code == 0
        )
        with self._database.read() as connection:
            newest: datetime | None = connection.execute(asked).scalar_one()
        return newest

    def sent_on(self, local_date: date, kind: str = "morning") -> bool:
        """Whether a date's digests were sent."""
        return self._is(local_date, kind, "sent")

    def missed_on(self, local_date: date, kind: str = "morning") -> bool:
        """Whether a date's run was given up."""
        return self._is(local_date, kind, "missed")

    def _is(self, local_date: date, kind: str, outcome: str) -> bool:
        asked = select(runs.c.id).where(
            runs.c.local_date == local_date, runs.c.kind == kind, runs.c.outcome == outcome
        )
        with self._database.read() as connection:
            return connection.execute(asked).first() is not None
