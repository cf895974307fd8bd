"""Who was told what, for the board: read from the outbox, the run log and the list of stops."""

from collections.abc import Sequence
from datetime import date, datetime
from functools import partial
from typing import TYPE_CHECKING

from scheduler import exit_codes
from scheduler.board.again import ReadAgain
from scheduler.contact_record import contact_rows, why_not
from scheduler.doctor import Check, Finding, look, look_at_all, ok
from scheduler.doctor_farm import (
    ahead_found,
    backup_found,
    clock_found,
    disk_found,
    forecast_found,
    morning_found,
    others_found,
)
from scheduler.due import Nothing, due, past_deadline, starts_utc
from scheduler.hand_over import send_times
from scheduler.one_morning import KIND
from scheduler.reconciled import not_told
from storage.delivery_counts import standings
from storage.errors import StorageError
from storage.message_states import MessageState, message_states
from storage.newest_rows import newest_rows
from storage.tables import consents
from web.sent_desk import Contact, Look, MorningState, WorkerState

if TYPE_CHECKING:
    from farm.delivery_report import DeliveryReport
    from scheduler.board.desk import FarmNow
    from scheduler.opening import OpenFarm
    from storage.database import Database
    from web.desk import Mornings


class KeptMessages:
    """What was sent to whom, and what the mornings stand on."""

    def __init__(self, farm: "FarmNow", mornings: "Mornings") -> None:
        self._farm, self._mornings = farm, mornings
        self._again = ReadAgain()

    def messages(self, first: date, last: date) -> Sequence[MessageState]:
        """Every message of some local dates."""
        return message_states(self._farm().stores.database, first, last)

    def reports(self, since_utc: datetime) -> "Sequence[DeliveryReport]":
        """What gateways told later."""
        return self._farm().stores.delivery_reports.since(since_utc)

    def morning(self, on: date) -> MorningState:
        """How the morning of a date came out."""
        farm = self._farm()
        if farm.stores.runs.sent_on(on, KIND):
            return "sent"
        if farm.stores.runs.missed_on(on, KIND):
            return "missed"
        return "due" if on == farm.today else ""

    def past_deadline(self, on: date, moment_utc: datetime) -> bool:
        """Whether everybody should have had the digest of a date by a moment."""
        return past_deadline(on, moment_utc, send_times(self._farm().config))

    def contacts(self) -> Sequence[Contact]:
        """Every address of every person; read again only when a word was added."""
        farm = self._farm()
        mark = newest_rows(farm.stores.database, consents)
        return self._again("contacts", mark, lambda: _contacts(farm))

    def worker(self) -> WorkerState:
        """The last morning that began, and when the next is due."""
        farm = self._farm()
        times, last = send_times(farm.config), farm.stores.runs.newest(KIND)
        decided = due(farm.now, farm.stores.runs, times)
        waits = isinstance(decided, Nothing)
        return WorkerState(
            last_on=last.local_date if last else None,
            began_utc=last.started_utc if last else None,
            ended_utc=last.finished_utc if last else None,
            outcome=(last.outcome or "") if last else "",
            next_utc=decided.next_utc
            if isinstance(decided, Nothing)
            else starts_utc(farm.today, times),
            late=not waits and past_deadline(farm.today, farm.now, times),
        )

    def looks(self) -> Sequence[Look]:
        """What a doctor sees who asks nobody; the whole database is not looked through."""
        farm = self._farm()
        config, now = farm.config, farm.now

        def opened() -> "Database":
            return farm.stores.database

        found: dict[str, partial[Finding]] = {
            "last morning": partial(morning_found, config, opened, now),
            "fetched ahead": partial(ahead_found, config, opened),
            "newest forecast": partial(forecast_found, opened, now),
            "call to the watch": partial(self._watch_found, farm),
            "backup": partial(backup_found, opened, now),
            "disk": partial(disk_found, config),
            "clock": partial(clock_found, opened, now),
            "clock of others": partial(others_found, config, opened),
        }
        checks = [Check(name, one, exit_codes.DATABASE) for name, one in found.items()]
        looked = look_at_all(checks)
        return tuple(Look(one.name, one.finding.word, one.finding.told) for one in looked)

    def ailing(self) -> str:
        """One word that says what is wrong with the mornings."""
        farm = self._farm()
        try:
            newest = farm.stores.plans.newest_date()
        except StorageError:
            return "database"
        overdue = past_deadline(farm.today, farm.now, send_times(farm.config))
        return "late" if overdue and newest != farm.today else ""

    def _watch_found(self, farm: "OpenFarm") -> Finding:
        """Whether the call that says that all is well was to be made today."""
        if farm.config.secrets.ping_url is None:
            return ok("nobody outside is called; [watch] can name somebody")
        report = self._mornings.latest()
        if report is None or report.run.local_date != farm.today:
            return look("not made today: no morning of today is kept")
        left = not_told(farm, report, standings(farm.stores.database, farm.today))
        if left:
            return look(f"not made today as long as this is so: {'; '.join(left)}")
        return ok("today's morning is told whole, so the worker calls")


def _contacts(farm: "OpenFarm") -> Sequence[Contact]:
    settings = farm.config.settings
    names = {one.id: one.name for one in settings.people}
    there = {"mail": settings.mail is not None, "sms": settings.sms is not None}
    return tuple(
        Contact(
            person_id=row["person_id"],
            name=names[row["person_id"]],
            role=row["role"],
            channel=row["channel"],
            address=row["address"],
            set_up=there[row["channel"]],
            word=row["word"],
            since_utc=row["since"] and datetime.fromisoformat(row["since"]),
            how=row["how"],
            told_by=row["told_by"],
            why_not=why_not(row),
        )
        for row in contact_rows(farm)
    )
