"""A worker in this process whose clock the test sets, and what arrived."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.opening import open_farm
from scheduler.worker import Worker
from scheduler.workers import worker_of
from tests.reliability.mill import Mill

CHICAGO = ZoneInfo("America/Chicago")


@dataclass
class Desk:
    """The worker of a mill. ``now`` is its clock."""

    mill: Mill
    worker: Worker
    now: datetime

    def at(self, text: str, ticks: int = 1) -> None:
        """Set the clock, in the farm's zone, and tick."""
        self.now = datetime.fromisoformat(text).replace(tzinfo=CHICAGO).astimezone(UTC)
        for _ in range(ticks):
            self.worker.tick()

    @property
    def mails(self) -> list[EmailMessage]:
        """Every mail that arrived, parsed."""
        return [
            message_from_bytes(body, policy=policy.default)
            for bodies in self.mill.room.mails.values()
            for body in bodies
        ]

    def of_kind(self, kind: str) -> list[EmailMessage]:
        """The mails of a kind, which stands in their names."""
        return [one for one in self.mails if f".{kind}." in one["Message-ID"]]

    def texts_of(self, kind: str) -> list[str]:
        """The text messages of a kind."""
        return [
            told["text"]
            for texts in self.mill.room.texts.values()
            for told in texts
            if f".{kind}." in told["reference"]
        ]


def body_of(mail: EmailMessage) -> str:
    """The plain text of a mail, on one line."""
    part = mail.get_body(("plain",))
    assert part is not None
    return " ".join(str(part.get_content()).split())


@contextmanager
def desk_of(mill: Mill) -> Iterator[Desk]:
    """A worker that was just started."""
    logging.getLogger("warmspell").setLevel(logging.INFO)
    with open_farm(Path(mill.config)) as farm:
        desk: Desk | None = None
        worker = worker_of(farm, lambda: desk.now if desk else farm.now)
        desk = Desk(mill, worker, farm.now)
        yield desk
