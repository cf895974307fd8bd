"""The order as rows to look at: unknown first, the line, what to walk, what waits, the rest."""

from dataclasses import dataclass
from datetime import date

from dispatch.reasons import ordinal
from dispatch.report import Call, FieldCall, MorningReport
from dispatch.routes.called import Since, kept_back
from dispatch.words import LocalClock, amount, day, plural
from farm.people import Role
from notify.cards import spray_card
from notify.hour_strip import Strip, draw_strip
from notify.page import Effect
from notify.reasons import telling_reasons
from notify.role_detail import DETAIL
from notify.user_text import plain_line, with_stop
from web.units import Units, shown

#: Most reasons a row shows; the field's own page has them all.
REASONS = 2
#: Rows of a section on one page: 5,000 fields stay readable, and below 500 kB.
ROWS = 60

#: Why a call does not stand after a spray.
SPRAYED_SINCE = "a spray was logged since the morning"

_DETAIL = DETAIL[Role.DISPATCHER]


@dataclass(frozen=True)
class OrderRow:
    """One field: what to do in ``call_word`` and ``when``, why in the rest. "" says nothing."""

    field_id: str
    name: str
    size: str
    call: str
    call_word: str
    place: str
    when: str
    act: str
    effect: Effect | None
    strip: Strip | None
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """Fields of one call: ``rows`` from ``first`` on, of ``count`` there are."""

    name: str
    title: str
    rows: tuple[OrderRow, ...]
    count: int
    first: int = 0

    @property
    def next(self) -> int | None:
        """Where the rows after these begin."""
        after = self.first + len(self.rows)
        return after if after < self.count else None

    @property
    def before(self) -> int | None:
        """Where the rows before these begin."""
        return max(0, self.first - ROWS) if self.first else None


def sections(
    report: MorningReport, since: Since, only: str = "", first: int = 0, units: Units = "us"
) -> tuple[Section, ...]:
    """Sections that hold anything: all of them from their start, or ``only`` one from ``first``.

    A call of the morning that what happened since has overtaken does not stand in the line any
    more: it stands apart, with why.
    """
    found = []
    for name, title, fields in _listed(report, since):
        if not fields or (only and name != only):
            continue
        from_ = min(first, len(fields) - 1) if only else 0
        page = fields[from_ : from_ + ROWS]
        rows = tuple(
            row_of(one, clock_of(report, one), overtaken(one, since), units) for one in page
        )
        found.append(Section(name, title, rows, len(fields), from_))
    return tuple(found)


def clock_of(report: MorningReport, one: FieldCall) -> LocalClock:
    """Times as they are told on a field, as of the morning."""
    run = report.run
    return LocalClock(one.field.time_zone, run.time_zone, run.local_date)


def overtaken(one: FieldCall, since: Since) -> str:
    """Why a call to spray does not stand any more; "" while it does."""
    if one.rank is None or one.held_for_harvest:
        return ""
    if one.field.id in since.sprayed:
        return SPRAYED_SINCE
    stopped = kept_back(one, since)
    return stopped[0] if stopped else ""


def _listed(report: MorningReport, since: Since) -> list[tuple[str, str, tuple[FieldCall, ...]]]:
    run = report.run
    called, held = report.to_act_on(), report.held()
    gone = tuple(one for one in called if overtaken(one, since))
    acting = tuple(one for one in called if not overtaken(one, since))
    line = f"the line is {plural(run.queue_days, 'day')} long"
    return [
        ("gone", "Called this morning, and does not stand any more", gone),
        ("unknown", "Not known", report.with_call(Call.UNKNOWN)),
        ("spray", f"Spray next, in this order; {line}", acting),
        ("held", "Held: the harvest has no room for them today", held),
        ("look", "Walk today", report.with_call(Call.LOOK)),
        ("wait", "Wait", report.with_call(Call.WAIT)),
        ("frozen", "After the freeze", report.standing("frozen")),
        ("sprayed", "Sprayed", report.standing("sprayed")),
        ("picked", "Picked", report.standing("picked")),
    ]


def row_of(one: FieldCall, clock: LocalClock, gone: str = "", units: Units = "us") -> OrderRow:
    """One field's row; ``gone`` says why its call does not stand any more."""
    if gone:
        return _overtaken(one, gone, units)
    if one.rank is not None:
        return _in_line(one, clock, units)
    lines = (*telling_reasons(one)[:REASONS], plain_line(one.to_do))
    return OrderRow(
        field_id=one.field.id,
        name=name_of(one),
        size=_size(one, units),
        call=one.call.value,
        call_word=call_word(one),
        place=f"would be {ordinal(one.place_if_mature)}" if one.place_if_mature else "",
        when=_until(one, clock.today),
        act="",
        effect=None,
        strip=draw_strip(one.strip, clock) if one.strip and one.call is Call.UNKNOWN else None,
        lines=tuple(line for line in lines if line),
    )


def _overtaken(one: FieldCall, gone: str, units: Units) -> OrderRow:
    return OrderRow(
        field_id=one.field.id,
        name=name_of(one),
        size=_size(one, units),
        call="gone",
        call_word="CALL OVERTAKEN",
        place="",
        when="",
        act="",
        effect=None,
        strip=None,
        lines=(with_stop(gone[:1].upper() + gone[1:]),),
    )


def _in_line(one: FieldCall, clock: LocalClock, units: Units) -> OrderRow:
    card = spray_card(one, clock, _DETAIL, drawn=True)
    return OrderRow(
        field_id=one.field.id,
        name=name_of(one),
        size=_size(one, units, f"{amount(one.rig_hours)} rig-h"),
        call=one.call.value,
        call_word=call_word(one),
        place=str(one.rank),
        when=card.when,
        act=card.act,
        effect=card.effect,
        strip=card.strip,
        lines=tuple(card.reasons[:REASONS]),
    )


def call_word(one: FieldCall) -> str:
    """The call as people say it."""
    if one.standing != "open":
        return {"frozen": "FROZEN", "sprayed": "SPRAYED", "picked": "PICKED"}[one.standing]
    word = {Call.LOOK: "WALK", Call.UNKNOWN: "NOT KNOWN"}.get(one.call, one.call.value.upper())
    return f"{word}, held" if one.held_for_harvest else word


def name_of(one: FieldCall) -> str:
    """The field's name, made plain."""
    return plain_line(one.field.name) or "field without a name"


def _size(one: FieldCall, units: Units, more: str = "") -> str:
    parts = (shown(one.field.acres, "area", units), more, plain_line(one.grower_name))
    return ", ".join(part for part in parts if part)


def _until(one: FieldCall, today: date) -> str:
    if one.standing == "picked" and one.picked_on:
        return day(one.picked_on)
    if one.follow_up is not None:
        return f"look again {day(one.follow_up.check_first_on)}"
    if one.wait_until is not None and one.wait_until > today:
        return f"until {day(one.wait_until)}"
    return ""
