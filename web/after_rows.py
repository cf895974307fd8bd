"""Sprayed fields and what is due on them, and fields that a freeze hit."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from dispatch.follow_up import follow_up, treatment_of
from dispatch.report import FieldCall, FollowUp, MorningReport
from dispatch.words import LocalClock, day
from farm.records import Spray
from notify.beside_blocks import freeze_lines, freeze_look
from notify.later_rows import check_words, next_check, sprayed_words
from notify.rows import name_of
from notify.user_text import plain_line
from web.desk import Desk, FarmFacts
from web.order_rows import clock_of
from web.rig_rows import field_address


@dataclass(frozen=True)
class LabelTime:
    """A time of the label: ``over`` is None where none was entered."""

    words: str
    over: bool | None


@dataclass(frozen=True)
class AfterSpray:
    """A sprayed field."""

    address: str
    name: str
    grower: str
    check: str
    due: bool
    checks: str
    lines: tuple[str, ...]
    leaf_drop: str
    second_pass: bool
    reentry: LabelTime
    harvest: LabelTime


@dataclass(frozen=True)
class AfterAFreeze:
    """A field that a freeze hit."""

    address: str
    name: str
    grower: str
    look: str
    due: bool
    lines: tuple[str, ...]


@dataclass(frozen=True)
class PickedField:
    """A field of which all is picked."""

    address: str
    name: str
    on: str


def sprayed_rows(report: MorningReport, desk: Desk, now: datetime) -> tuple[AfterSpray, ...]:
    """Sprayed fields that are not picked: those to check today first, then by their next check.

    A spray logged since the morning stands in it, one taken back since does not.
    """
    found: list[tuple[date, AfterSpray]] = []
    sprays = desk.after.sprays()
    for one in report.fields:
        spray = sprays.get(one.field.id)
        if spray is None or one.picked_on is not None:
            continue
        clock = _today(report, one, now)
        told = _followed(one, spray, desk.farm, now, clock)
        row = _sprayed(one.model_copy(update={"follow_up": told}), told, desk, now, clock)
        found.append((next_check(told, clock.today) or date.max, row))
    found.sort(key=lambda pair: (not pair[1].due, pair[0], pair[1].name))
    return tuple(row for _, row in found)


def frozen_rows(report: MorningReport) -> tuple[AfterAFreeze, ...]:
    """Fields in the order that a freeze hit, those to look at today first."""
    told = [(one, one.after_freeze) for one in report.standing("frozen") if one.after_freeze]
    told.sort(key=lambda pair: (not pair[1].due_today, pair[1].found == "killed"))
    return tuple(
        AfterAFreeze(
            address=field_address(one.field.id),
            name=name_of(one),
            grower=plain_line(one.grower_name),
            look=freeze_look(after),
            due=after.due_today,
            lines=freeze_lines(one, after),
        )
        for one, after in told
    )


def picked_rows(report: MorningReport) -> tuple[PickedField, ...]:
    """Fields that are picked."""
    return tuple(
        PickedField(
            field_address(one.field.id), name_of(one), day(one.picked_on) if one.picked_on else ""
        )
        for one in report.standing("picked")
    )


def taken_back(report: MorningReport, sprays: Mapping[str, Spray]) -> tuple[str, ...]:
    """Names of fields the morning tells as sprayed whose spray was taken back since."""
    return tuple(name_of(one) for one in report.standing("sprayed") if one.field.id not in sprays)


def _today(report: MorningReport, one: FieldCall, now: datetime) -> LocalClock:
    """The clock of a field's place, as of today and not of the morning."""
    clock = clock_of(report, one)
    return LocalClock(clock.zone_name, clock.farm_zone_name, clock.local(now).date())


def _followed(
    one: FieldCall, spray: Spray, farm: FarmFacts, now: datetime, clock: LocalClock
) -> FollowUp:
    known = one.follow_up
    mix = treatment_of(spray, farm.treatments)
    told = follow_up(spray, mix, mix.name if mix else "", (), now, clock)
    if known is None or known.spray.uuid != spray.uuid:
        return told
    today = {"days_since": told.days_since, "due_today": told.due_today}
    return known.model_copy(update=today)


def _sprayed(
    one: FieldCall, told: FollowUp, desk: Desk, now: datetime, clock: LocalClock
) -> AfterSpray:
    earliest = desk.after.earliest(told.spray)
    first, second = told.checks
    return AfterSpray(
        address=field_address(one.field.id),
        name=name_of(one),
        grower=plain_line(one.grower_name),
        check=check_words(told, clock.today),
        due=told.due_today,
        checks=f"first {day(first)}, second {day(second)}",
        lines=(*sprayed_words(one, told, lambda _: clock), *_froze(one)),
        leaf_drop=_leaf_drop(told, clock),
        second_pass=told.second_pass,
        reentry=_label_time(earliest.reentry_utc, now, clock),
        harvest=_label_time(earliest.harvest_utc, now, clock),
    )


def _froze(one: FieldCall) -> tuple[str, ...]:
    after = one.after_freeze
    return () if after is None else (f"A freeze hit it since: {freeze_look(after)}.",)


def _leaf_drop(told: FollowUp, clock: LocalClock) -> str:
    parts = ["not looked at since"]
    if told.leaf_drop_pct is not None and told.leaf_drop_seen_utc is not None:
        seen = day(clock.local(told.leaf_drop_seen_utc).date())
        parts = [f"{told.leaf_drop_pct:g} % seen {seen}"]
    if told.leaf_drop_expected_on is not None:
        parts.append(f"full about {day(told.leaf_drop_expected_on)} by warmth")
    return "; ".join(parts)


def _label_time(moment_utc: datetime | None, now: datetime, clock: LocalClock) -> LabelTime:
    """A time of the label with its date, since it is read days later too."""
    if moment_utc is None:
        return LabelTime("not entered; read the label", None)
    told = f"{day(clock.local(moment_utc).date())}, {clock.hour(moment_utc)}"
    over = now >= moment_utc
    return LabelTime(f"over since {told}" if over else f"not before {told}", over)
