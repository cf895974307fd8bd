"""An outbox in memory, with the same rules as the stored one."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

NOW = datetime(2026, 10, 6, 11, 5, tzinfo=UTC)


@dataclass(frozen=True)
class Row:
    id: int
    person_id: str
    channel: str = "mail"
    message_id: str = "<1@x>"
    subject: str = "Tue 6 Oct"
    payload: bytes = b"hello"
    attempt: int = 0
    in_doubt: bool = False
    state: str = "pending"
    worker: str = ""
    until_utc: datetime = NOW
    error: str = ""


class MemoryLedger:
    """Rows by id; ``trail`` keeps every call in order."""

    def __init__(self, *rows: Row) -> None:
        self.rows = {row.id: row for row in rows}
        self.trail: list[str] = []

    def due(self, now: datetime) -> list[Row]:
        return [row for row in self.rows.values() if self._claimable(row, now)]

    def claim(self, row_id: int, worker: str, now: datetime, lease_s: float) -> bool:
        row = self.rows[row_id]
        if not self._claimable(row, now):
            return False
        self.trail.append(f"claim {row_id}")
        self.rows[row_id] = replace(
            row,
            in_doubt=row.in_doubt or row.state == "sending",
            state="sending",
            attempt=row.attempt + 1,
            worker=worker,
            until_utc=now + timedelta(seconds=lease_s),
        )
        return True

    def mark_sent(self, row_id: int, worker: str, provider_id: str | None, now: datetime) -> bool:
        return self._mark(row_id, worker, state="sent")

    def mark_failed(
        self,
        row_id: int,
        worker: str,
        error: str,
        *,
        permanent: bool,
        next_try_utc: datetime | None,
        now: datetime,
        in_doubt: bool = False,
    ) -> bool:
        state = "given up" if permanent or next_try_utc is None else "failed"
        until = {} if next_try_utc is None else {"until_utc": next_try_utc}
        doubt = in_doubt or self.rows[row_id].in_doubt
        return self._mark(row_id, worker, state=state, error=error, in_doubt=doubt, **until)

    def hold_back(self, row_id: int, worker: str, reason: str, now: datetime) -> bool:
        return self._mark(row_id, worker, state="suppressed", error=reason)

    def _mark(self, row_id: int, worker: str, **told: object) -> bool:
        row = self.rows[row_id]
        if row.state != "sending" or row.worker != worker:
            return False
        self.trail.append(f"{told['state']} {row_id}")
        self.rows[row_id] = replace(row, **told)  # type: ignore[arg-type]
        return True

    @staticmethod
    def _claimable(row: Row, now: datetime) -> bool:
        waiting = row.state in ("sending", "failed") and row.until_utc <= now
        return row.state == "pending" or waiting
