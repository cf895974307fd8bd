"""Fields that a killing freeze has hit: they are looked at before anything is spent on them."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

import numpy as np

from agronomy.after_freeze import INSPECT_DAYS
from agronomy.three_valued import NO, UNKNOWN, YES
from dispatch.farm_morning import FarmMorning, clock_of
from dispatch.outlook import Outlook
from dispatch.record_figures import AfterFreeze
from dispatch.words import LocalClock
from farm.field import Field
from farm.records import Freeze, FreezeInspection

_NAMESPACE = uuid5(NAMESPACE_URL, "warmspell:forecast-freeze")


def after_freeze(
    freezes: Iterable[Freeze],
    inspections: Iterable[FreezeInspection],
    killing_f: float,
    now: datetime,
    clock: LocalClock,
) -> AfterFreeze | None:
    """How one field stands after its last killing freeze; None where none holds it.

    Of one morning a person's report stands, and what a forecast told of it does not. A freeze
    without a low was reported as a killing one. One whose low lies above ``killing_f``
    opens leaves and bolls rather than ending them, and holds nothing (S23). The last look since
    the freeze decides: "alive" lets the field go back into the order.

    Parameters
    ----------
    freezes, inspections
        Of this field and this season, up to now.
    killing_f
        Temperature that ends the leaf's work [F].
    """
    told = _persons_word_first(freezes, clock)
    killing = [one for one in told if one.low_f is None or one.low_f <= killing_f]
    if not killing:
        return None
    last = max(killing, key=lambda one: one.froze_utc)
    looks = [one for one in inspections if one.inspected_utc >= last.froze_utc]
    look = max(looks, key=lambda one: one.inspected_utc, default=None)
    if look is not None and look.found == "alive":
        return None
    froze_on = clock.local(last.froze_utc).date()
    first, until = (froze_on + timedelta(days=days) for days in INSPECT_DAYS)
    looked_today = look is not None and clock.local(look.inspected_utc).date() >= clock.today
    killed = look is not None and look.found == "killed"
    return AfterFreeze(
        froze_utc=last.froze_utc,
        low_f=last.low_f,
        confirmed=last.told_by == "person",
        days_since=round((now - last.froze_utc) / timedelta(days=1), 2),
        inspect_from=first,
        inspect_until=until,
        due_today=clock.today >= first and not killed and not looked_today,
        found="killed" if killed else "unclear" if look is not None else None,
        inspected_utc=None if look is None else look.inspected_utc,
    )


def field_after_freeze(
    farm: FarmMorning, one: Field, freezes: Iterable[Freeze], now: datetime
) -> AfterFreeze | None:
    """How a field of a farm stands after its last killing freeze among some of those told."""
    inspections = farm.inspections.get(one.id, ())
    killing_f = farm.rules[one.id].gates.killing_f
    return after_freeze(freezes, inspections, killing_f, now, clock_of(farm, one, now))


def _persons_word_first(freezes: Iterable[Freeze], clock: LocalClock) -> list[Freeze]:
    told = list(freezes)
    seen = {clock.local(one.froze_utc).date() for one in told if one.told_by == "person"}
    return [
        one
        for one in told
        if one.told_by == "person" or clock.local(one.froze_utc).date() not in seen
    ]


def freeze_this_morning(
    outlook: Outlook, row: int, cold_spot_f: float, killing_f: float
) -> tuple[np.int8, float]:
    """Whether the night that is ending brings a killing freeze, and its lowest hour [F].

    It rests on the hours from now to after sunrise, the low of the night window left aside: so
    that no value can be lost without the answer becoming unknown.

    Returns
    -------
    tuple
        YES, NO or UNKNOWN, and the low; NaN where it is not known. NO by day and in the evening,
        when the next sunrise belongs to the night ahead.
    """
    nights = outlook.nights
    if nights.first[row] == 0:
        return NO, float("nan")
    temp = outlook.hourly["temp_f"][row]
    hours = slice(0, int(nights.end_h[row, 0]))
    field_f = temp[hours] - cold_spot_f * (outlook.sun.daylight[row, hours] != 1)
    if field_f.size and np.nanmin(field_f, initial=np.inf) <= killing_f:
        return YES, float(np.nanmin(field_f))
    if not field_f.size or np.isnan(field_f).any():
        return UNKNOWN, float("nan")
    return NO, float(field_f.min())


def forecast_freezes(farm: FarmMorning, outlook: Outlook, now: datetime) -> tuple[Freeze, ...]:
    """Killing freezes of this very morning that a forecast tells of and nobody has on record.

    A forecast too old for any call tells of none.
    """
    told = []
    for row, one in enumerate(farm.registered):
        killing_f = farm.rules[one.id].gates.killing_f
        state, low_f = freeze_this_morning(outlook, row, one.cold_spot_f, killing_f)
        issued = outlook.forecast.issued_utc[int(outlook.rows[row])]
        if state != YES or issued is None:
            continue
        if now - issued > timedelta(hours=farm.policy.age_unknown_h):
            continue
        at = outlook.forecast.hour_utc(max(0, int(outlook.sun.dawn_h[row, 0])))
        clock = clock_of(farm, one, now)
        if not _on_record(farm.freezes.get(one.id, ()), at, clock):
            told.append(_forecast_freeze(one, at, low_f))
    return tuple(told)


def with_freezes(farm: FarmMorning, told: Iterable[Freeze]) -> FarmMorning:
    """The same farm with more killing freezes, such as those a forecast tells of this morning."""
    freezes = dict(farm.freezes)
    for one in told:
        freezes[one.field_id] = (*freezes.get(one.field_id, ()), one)
    return replace(farm, freezes=freezes)


def _forecast_freeze(one: Field, at_utc: datetime, low_f: float) -> Freeze:
    low = round(max(-40.0, low_f), 1)
    return Freeze(
        uuid=uuid5(_NAMESPACE, f"{one.id}|{at_utc.isoformat()}|{low}"),
        field_id=one.id,
        froze_utc=at_utc,
        low_f=low,
        told_by="forecast",
    )


def _on_record(freezes: Iterable[Freeze], froze_utc: datetime, clock: LocalClock) -> bool:
    morning = clock.local(froze_utc).date()
    return any(clock.local(one.froze_utc).date() == morning for one in freezes)
