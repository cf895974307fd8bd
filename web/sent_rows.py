"""Messages as rows to look at: how each stands, and what to do where it did not arrive."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from dispatch.words import LocalClock, plural
from farm.delivery_report import DeliveryReport
from notify.outbox import MAIL, SMS
from notify.user_text import plain_line, with_stop
from storage.consent_store import STOPPED
from storage.message_states import MessageState
from web.sent_desk import Contact

#: How a row is marked: arrived or handed over, on its way, somebody must act, or as it should be.
Mark = Literal["done", "way", "act", "still"]

#: How long a message may wait for the worker, which looks every half minute. Judgement.
WAITS = timedelta(minutes=5)

CHANNELS = {MAIL: "mail", SMS: "text"}
_KINDS = {"morning": "digest", "correction": "correction", "alarm": "alarm"}
#: Where the address and the server of each channel are entered.
_KEYS = {MAIL: ("email", "[mail]"), SMS: ("phone", "[sms]")}


@dataclass(frozen=True)
class SentRow:
    """One message, or one that there should be. ``to_do`` is "" where nothing is."""

    who: str
    channel: str
    address: str
    what: str
    mark: Mark
    state: str
    when: str
    tries: int
    late: bool
    error: str
    to_do: str


@dataclass(frozen=True)
class Counts:
    """How many messages stand how."""

    sent: int = 0
    waiting: int = 0
    in_doubt: int = 0
    failed: int = 0
    held_back: int = 0
    late: int = 0
    corrections: int = 0


def rows_of(
    messages: Iterable[MessageState],
    contacts: Sequence[Contact],
    reports: Mapping[tuple[str, str], DeliveryReport],
    late: Mapping[int, bool],
    clock: LocalClock,
    now: datetime,
) -> tuple[SentRow, ...]:
    """A row for each message, those that somebody must act on first.

    Parameters
    ----------
    messages
        Those of one day or more.
    contacts
        Who they are, by person.
    reports
        The last word of gateways, by channel and their name for a message.
    late
        Whether each message came after its deadline, by its place.
    clock
        Tells times on the farm.
    now
        The time, aware.
    """
    names = {one.person_id: one.name for one in contacts}
    rows = []
    for place, one in enumerate(messages):
        report = reports.get((one.channel, one.provider_id or ""))
        mark, state = _standing(one, report, now)
        rows.append(
            SentRow(
                who=plain_line(names.get(one.person_id, one.person_id)),
                channel=CHANNELS.get(one.channel, one.channel),
                address=one.address_masked,
                what=_what(one.kind),
                mark=mark,
                state=state,
                when=_when(one, clock),
                tries=one.attempt,
                late=late.get(place, False),
                error=_error(one, report),
                to_do=_to_do(one, report, mark, now),
            )
        )
    order: tuple[Mark, ...] = ("act", "way", "still", "done")
    return tuple(sorted(rows, key=lambda row: order.index(row.mark)))


def without_message(
    contacts: Iterable[Contact], messages: Iterable[MessageState], clock: LocalClock
) -> tuple[SentRow, ...]:
    """A row for each address that has no digest of today, with why."""
    have = {(one.person_id, one.channel) for one in messages if _what(one.kind) == "digest"}
    return tuple(
        SentRow(
            who=plain_line(one.name),
            channel=CHANNELS[one.channel],
            address=one.address,
            what="digest",
            mark="still" if one.why_not == "stopped" else "act",
            state="NONE MADE",
            when="",
            tries=0,
            late=False,
            error="",
            to_do=_why_none(one, clock),
        )
        for one in contacts
        if one.set_up and (one.person_id, one.channel) not in have
    )


def counts_of(messages: Sequence[MessageState], late: Mapping[int, bool]) -> Counts:
    """How the messages of a day stand."""
    failed = [one for one in messages if one.state == "failed"]
    waiting = [one for one in messages if one.state in ("pending", "sending")]
    again = [one for one in failed if one.next_try_utc is not None]
    return Counts(
        sent=sum(one.state == "sent" for one in messages),
        waiting=len(waiting) + len(again),
        in_doubt=sum(one.in_doubt for one in messages),
        failed=len(failed) - len(again),
        held_back=sum(one.state == "suppressed" for one in messages),
        late=sum(late.values()),
        corrections=sum(_what(one.kind) == "correction" for one in messages),
    )


def lateness(
    messages: Sequence[MessageState], past_deadline: Callable[[date, datetime], bool]
) -> dict[int, bool]:
    """Whether each digest went out after its deadline, by its place in ``messages``."""
    return {
        place: one.sent_utc is not None
        and _what(one.kind) == "digest"
        and past_deadline(one.local_date, one.sent_utc)
        for place, one in enumerate(messages)
    }


def _what(kind: str) -> str:
    first, *rest = kind.removesuffix("-mail").removesuffix("-sms").split("-")
    word = _KINDS.get(first, first)
    return f"{word}: {' '.join(rest)}" if rest and word == "alarm" else word


def _standing(one: MessageState, report: DeliveryReport | None, now: datetime) -> tuple[Mark, str]:
    if one.state == "sent":
        if report is not None and report.state == "undelivered":
            return "act", "DID NOT ARRIVE"
        if report is not None and report.state == "delivered":
            return "done", "ARRIVED"
        return "done", "SENT, perhaps twice" if one.in_doubt else "SENT"
    if one.state == "suppressed":
        return "still", "HELD BACK"
    if one.state == "failed":
        if one.next_try_utc is not None:
            return "way", "FAILED, tried again"
        if one.in_doubt:
            return "act", "IN DOUBT"
        return "act", "REFUSED" if one.permanent else "GIVEN UP"
    overdue = now - one.planned_utc > WAITS
    if one.state == "sending":
        return "act" if overdue and one.in_doubt else "way", "BEING SENT"
    return "act" if overdue else "way", "QUEUED"


def _when(one: MessageState, clock: LocalClock) -> str:
    if one.sent_utc is not None:
        return clock.moment(one.sent_utc)
    if one.next_try_utc is not None:
        return f"again {clock.moment(one.next_try_utc)}"
    told = one.claimed_utc or one.planned_utc
    return clock.moment(told)


def _error(one: MessageState, report: DeliveryReport | None) -> str:
    if report is not None and report.state == "undelivered":
        return with_stop(f"The gateway says: {plain_line(report.words)}")
    # What was wrong before it went out after all is nobody's worry any more.
    said = plain_line(one.error) if one.error and one.state != "sent" else ""
    return with_stop(said[:1].upper() + said[1:]) if said else ""


def _to_do(one: MessageState, report: DeliveryReport | None, mark: Mark, now: datetime) -> str:
    key, table = _KEYS.get(one.channel, ("address", "the settings"))
    error = one.error or ""
    if report is not None and report.state == "undelivered":
        return f"Tell them yourself today, and ask whether {key} in farm.toml is still right."
    if one.state == "suppressed":
        return _held_back(one)
    if "check user and password" in error:
        return f"Mend user and password of {table}; what waits goes out by itself then."
    if mark == "way":
        return _on_its_way(one, table)
    if one.state in ("pending", "sending"):
        waits = plural(round((now - one.planned_utc) / timedelta(minutes=1)), "minute")
        return f"It has waited {waits}: see whether warmspell work runs, and start it."
    if mark != "act":
        return ""
    if one.in_doubt:
        return "It may have arrived: ask them, and tell them yourself if it did not."
    if one.permanent:
        return f"Tell them yourself today, and mend their {key} in [[people]] of farm.toml."
    return f"Tell them yourself today. For tomorrow look at {table}: warmspell doctor asks it."


def _held_back(one: MessageState) -> str:
    if one.error == STOPPED:
        return "Nothing: they asked for no more. Only their own word changes that."
    return "Tell them yourself where they should know." if one.error else ""


def _on_its_way(one: MessageState, table: str) -> str:
    if one.next_try_utc is None:
        return ""
    if "no connection" in (one.error or ""):
        return f"It is tried again by itself. Look at the network, and at the host of {table}."
    return "It is tried again by itself."


def _why_none(one: Contact, clock: LocalClock) -> str:
    key, _ = _KEYS[one.channel]
    if one.why_not == "stopped":
        since = (
            f" since {clock.day_name(clock.local(one.since_utc).date())}" if one.since_utc else ""
        )
        return f"Nothing: they stopped these messages{since}."
    if one.why_not:
        return (
            "No consent to texts is kept. Once they agree, enter it: warmspell people allow "
            f"{plain_line(one.person_id)} --by {one.channel} --how HOW."
        )
    return (
        f"None was made for them: it was refused for good on several days, the hour was quiet, or "
        f"no morning went out. Tell them yourself, and look at their {key} in farm.toml."
    )
