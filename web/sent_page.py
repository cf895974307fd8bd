"""Who was told what today and on the days before, and what to do where it did not arrive."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse

from dispatch.words import LocalClock, plural
from farm.delivery_report import DeliveryReport
from notify.user_text import with_stop
from storage.delivery_reports import STATES
from storage.message_states import MessageState
from web.guard import may
from web.pages import page
from web.sent_desk import Contact, MorningState, SentDesk, WorkerState
from web.sent_rows import Counts, SentRow, counts_of, lateness, rows_of, without_message
from web.viewer import Viewer

router = APIRouter()

#: Days shown before today.
DAYS_BEFORE = 7
#: Most rows shown of one day; those to act on come first.
ROWS = 200


@dataclass(frozen=True)
class Day:
    """One day: how its morning came out, its counts, and the rows that somebody must act on."""

    on: date
    morning: MorningState
    counts: Counts
    rows: Sequence[SentRow]


@router.get("/sent", include_in_schema=False)
def sent(request: Request, told: Annotated[Viewer, Depends(may("people"))]) -> HTMLResponse:
    """The page."""
    desk = request.app.state.desk
    now, zone = desk.clock(), desk.farm.time_zone
    today = LocalClock(zone, zone, date.min).local(now).date()
    clock = LocalClock(zone, zone, today)
    asked: SentDesk = desk.sent
    contacts = asked.contacts()
    days = _days(asked, today, contacts, clock, now)
    first, before = days[0], days[1:]
    worker = asked.worker()
    return page(
        request,
        "sent.html",
        today=today,
        lead=_lead(first),
        act=[one for one in first.rows if one.mark == "act"][:ROWS],
        rest=[one for one in first.rows if one.mark != "act"][:ROWS],
        more=max(0, len(first.rows) - ROWS),
        before=[one for one in before if one.morning or one.counts != Counts()],
        worker=_worker_lines(worker, clock, now),
        worker_late=worker.late,
        looks=[(one.name, one.word, with_stop(one.told)) for one in asked.looks()],
        contacts=[(one, _contact_words(one, clock)) for one in contacts],
    )


def _days(
    asked: SentDesk, today: date, contacts: Sequence[Contact], clock: LocalClock, now: datetime
) -> list[Day]:
    """Today and the days before it, the newest first."""
    first = today - timedelta(days=DAYS_BEFORE)
    by_day: dict[date, list[MessageState]] = {
        today - timedelta(days=back): [] for back in range(DAYS_BEFORE + 1)
    }
    for one in asked.messages(first, today):
        by_day[one.local_date].append(one)
    reports = _last_words(asked.reports(now - timedelta(days=DAYS_BEFORE + 1)))
    days = []
    for on, messages in by_day.items():
        late, morning = lateness(messages, asked.past_deadline), asked.morning(on)
        rows = rows_of(messages, contacts, reports, late, clock, now)
        if on == today and morning == "sent":
            rows = (*without_message(contacts, messages, clock), *rows)
        if on != today:
            rows = tuple(one for one in rows if one.mark == "act")[:ROWS]
        days.append(Day(on, morning, counts_of(messages, late), rows))
    return days


def _last_words(
    reports: Sequence[DeliveryReport],
) -> Mapping[tuple[str, str], DeliveryReport]:
    """The most final report of each message."""
    ordered = sorted(reports, key=lambda one: STATES.index(one.state))
    return {(one.channel, one.provider_id): one for one in ordered}


def _lead(day: Day) -> str:
    if day.morning == "missed":
        return "Today's morning was missed: nothing was sent. Tell people yourself."
    if not day.rows:
        return "No message of today is kept."
    counts = day.counts
    parts = [f"{plural(counts.sent, 'message')} sent"]
    parts += [
        f"{count} {words}"
        for count, words in (
            (counts.waiting, "waiting"),
            (counts.failed, "failed"),
            (counts.in_doubt, "in doubt"),
            (counts.held_back, "held back"),
            (counts.late, "late"),
        )
        if count
    ]
    acts = sum(one.mark == "act" for one in day.rows)
    end = f"See to {acts} of them below" if acts else "Nothing to see to"
    return f"{', '.join(parts)}. {end}."


def _worker_lines(worker: WorkerState, clock: LocalClock, now: datetime) -> list[str]:
    lines = [_last_words_of(worker, clock)]
    due = clock.moment(worker.next_utc)
    if worker.late:
        lines.append(
            f"Today's was due {due} and has not been made: see whether warmspell work runs, and "
            "start it."
        )
    else:
        lines.append(f"The next goes out {due}." if worker.next_utc > now else f"Due since {due}.")
    return lines


def _last_words_of(worker: WorkerState, clock: LocalClock) -> str:
    if worker.began_utc is None or worker.last_on is None:
        return "No morning was begun by a worker yet."
    if worker.outcome == "missed":
        return f"The morning of {clock.day_name(worker.last_on)} was missed."
    began = clock.moment(worker.began_utc)
    ended = f"ended {clock.moment(worker.ended_utc)}" if worker.ended_utc else "has no end yet"
    unsent = ", and was not sent" if worker.outcome == "not_sent" else ""
    return f"The last morning began {began}, {ended}{unsent}."


def _contact_words(one: Contact, clock: LocalClock) -> str:
    word = one.why_not or ("agreed" if one.word else "yes")
    since = f" {clock.day_name(clock.local(one.since_utc).date())}" if one.since_utc else ""
    how = f", {one.how}" if one.how else ""
    by = f" ({one.told_by})" if one.told_by else ""
    return f"{word}{since}{how}{by}{'' if one.set_up else '; not set up on this farm'}"
