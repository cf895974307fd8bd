"""Windows of the fields to spray as calendar entries, by RFC 5545; overtaken ones as cancelled."""

from collections import Counter
from collections.abc import Mapping
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from dispatch.report import FieldCall, MorningReport, Window
from dispatch.routes.calendar import CAUTION, entry_uid
from farm.people import Role
from notify.cards import spray_card
from notify.role_detail import DETAIL
from web.order_rows import call_word, clock_of, name_of
from web.units import Units, shown

#: How often a calendar is asked to look again.
LOOK_AGAIN = timedelta(hours=1)

_DETAIL = DETAIL[Role.DISPATCHER]


def windows_ics(report: MorningReport, gone: Mapping[str, str], revision: int, units: Units) -> str:
    """Windows of every field called to be sprayed, as text of an iCalendar file.

    A field's window of one day keeps its entry when its hours move. What is not known, held, or
    to be walked has none.

    Parameters
    ----------
    report
        The morning as the reader may see it.
    gone
        Why calls do not stand any more, by field id.
    revision
        Rises whenever what is told here may have changed.
    """
    calendar = empty_calendar(f"{report.run.farm_name}: spray windows")
    for one in report.to_act_on():
        seen: Counter[str] = Counter()
        for window in one.windows:
            on = window.start_utc.astimezone(ZoneInfo(one.field.time_zone)).date().isoformat()
            seen[on] += 1
            uid = entry_uid("windows", report.run.farm_name, one.field.id, f"{on}-{seen[on]}")
            event = _event(report, one, window, uid, units)
            why = gone.get(one.field.id, "")
            # A cancelled entry is the later one of the same revision.
            event.add("sequence", 2 * revision + bool(why))
            if why:
                _cancel(event, one, why)
            calendar.add_component(event)
    return as_text(calendar)


def empty_calendar(name: str) -> Calendar:
    """A calendar without entries."""
    calendar = Calendar()
    calendar.add("prodid", "-//warmspell//board//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", LOOK_AGAIN, parameters={"VALUE": "DURATION"})
    return calendar


def as_text(calendar: Calendar) -> str:
    """The file."""
    return str(calendar.to_ical().decode("utf-8"))


def _event(report: MorningReport, one: FieldCall, window: Window, uid: str, units: Units) -> Event:
    card = spray_card(one, clock_of(report, one), _DETAIL, drawn=False)
    part = "" if window.full else ", part of a window"
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", _whole_second(report.run.made_utc))
    event.add("dtstart", window.start_utc)
    event.add("dtend", window.end_utc)
    size = shown(one.field.acres, "area", units)
    event.add("summary", f"{call_word(one)} {name_of(one)}, {size}{part}")
    event.add("description", "\n".join((card.act, *card.facts, *card.reasons[:2], CAUTION)))
    event.add("transp", "TRANSPARENT")
    return event


def _cancel(event: Event, one: FieldCall, why: str) -> None:
    event.add("status", "CANCELLED")
    event["summary"] = f"Not any more: {name_of(one)}"
    event["description"] = f"{why[:1].upper()}{why[1:]}. {CAUTION}"


def _whole_second(moment_utc: datetime) -> datetime:
    return moment_utc.replace(microsecond=0)
