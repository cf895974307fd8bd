"""A freeze, or a look at what froze, from what a person typed."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Literal
from uuid import UUID
from zoneinfo import ZoneInfo

from agronomy.after_freeze import INSPECT_DAYS
from dispatch.words import day_range, plural
from farm.field import Field
from farm.records import Freeze, FreezeInspection
from farm.retraction import entered_anew
from scheduler.data_error import DataError
from scheduler.typed_record import (
    content_uuid,
    limits,
    refuse_long,
    season_of,
    typed_moment,
    typed_number,
)

#: Local hour that the date of a freeze alone stands for [h]: about sunrise in autumn, when a night
#: is coldest. Common practice, no source.
FREEZE_AT_H = 6

#: Local hour that the date of a look alone stands for [h]. Judgement: after that day's sunrise.
LOOK_AT_H = 12

Found = Literal["alive", "killed", "unclear"]
Leaves = Literal["fall", "hold", "not_looked"]


def freeze_record(
    field: Field,
    now: datetime,
    when: str | None = None,
    low_f: str | None = None,
    reporter: str = "",
    note: str = "",
    taken_back: frozenset[UUID] = frozenset(),
) -> Freeze:
    """The record of one freeze that a person reports.

    Parameters
    ----------
    when
        ISO time in the field's zone unless it says otherwise, or a date alone; this morning if
        None.
    low_f
        Low at the field [F]; None reports a killing freeze whose low is not known.
    taken_back
        Records that were taken back: the same content again is then entered anew.

    Raises
    ------
    DataError
        A time in the future or before planting, or a low that no freeze has.
    """
    refuse_long("freeze", Freeze, {"reporter": reporter, "note": note})
    today = now.astimezone(ZoneInfo(field.time_zone)).date().isoformat()
    froze = typed_moment("freeze", when if when is not None else today, field, now, FREEZE_AT_H)
    low = None if low_f is None else _low(low_f)
    content = (field.id, froze.astimezone(UTC).isoformat(), low, reporter, note)
    return Freeze(
        uuid=entered_anew(content_uuid("freeze", *content), taken_back),
        field_id=field.id,
        froze_utc=froze,
        low_f=low,
        reporter=reporter,
        note=note,
    )


def _low(text: str) -> float:
    return typed_number("freeze", "low-f", text, *limits(Freeze, "low_f"), "F")


def inspection_record(
    field: Field,
    now: datetime,
    found: Found,
    texts: Mapping[str, str | None],
    leaves: Leaves = "not_looked",
    inspector: str = "",
    note: str = "",
    taken_back: frozenset[UUID] = frozenset(),
) -> FreezeInspection:
    """The record of one look at a field that froze.

    Parameters
    ----------
    texts
        ``when`` (as for a freeze; now if None), ``bolls_cut`` and ``bolls_dead`` (None where no
        boll was cut).
    taken_back
        As for a freeze.

    Raises
    ------
    DataError
        A time in the future or before planting, or counts that cannot be.
    """
    refuse_long("inspection", FreezeInspection, {"inspector": inspector, "note": note})
    typed = texts.get("when")
    when = now if typed is None else typed_moment("inspection", typed, field, now, LOOK_AT_H)
    cut, dead = (_bolls(name, texts.get(name)) for name in ("bolls_cut", "bolls_dead"))
    _refuse_bolls(found, cut, dead)
    seen = (field.id, when.astimezone(UTC).isoformat(), found, leaves, cut, dead)
    uuid = content_uuid("freeze-inspection", *seen, inspector, note)
    return FreezeInspection(
        uuid=entered_anew(uuid, taken_back),
        field_id=field.id,
        inspected_utc=when,
        found=found,
        leaves=leaves,
        bolls_cut=cut,
        bolls_dead=dead,
        inspector=inspector,
        note=note,
    )


def _bolls(name: str, text: str | None) -> int | None:
    if text is None:
        return None
    low, high = limits(FreezeInspection, name)
    option = name.replace("_", "-")
    if not (text.isascii() and text.isdecimal() and low <= int(text[:9]) <= high):
        raise DataError(
            [f'inspection: {option}: got "{text}", wanted a whole number {low:g} to {high:g}']
        )
    return int(text)


def _refuse_bolls(found: Found, cut: int | None, dead: int | None) -> None:
    if dead is not None and cut is None:
        raise DataError(
            [f"inspection: bolls-dead: got {dead} without --bolls-cut, wanted both; add it"]
        )
    if dead is not None and cut is not None and dead > cut:
        raise DataError(
            [f"inspection: bolls-dead: got {dead}, wanted at most the {cut} cut; correct one"]
        )
    if found == "alive" and dead is not None and dead == cut:
        raise DataError(
            [
                f'inspection: found: got "alive" with all {cut} cut bolls dead, wanted "killed" '
                'or "unclear"; correct one of them'
            ]
        )


def killing_before(
    inspection: FreezeInspection, freezes: Sequence[Freeze], killing_f: float, zone: ZoneInfo
) -> Freeze | None:
    """The last killing freeze that a look can be about, of the same season; None without one."""
    begins = season_of(inspection.inspected_utc, zone)[0]
    killing = [
        one
        for one in freezes
        if begins <= one.froze_utc <= inspection.inspected_utc
        and (one.low_f is None or one.low_f <= killing_f)
    ]
    return max(killing, key=lambda one: one.froze_utc, default=None)


def refuse_without_freeze(
    inspection: FreezeInspection, freeze: Freeze | None, field: Field, killing_f: float
) -> None:
    """Raise DataError for a look that would hold a field which no killing freeze has hit.

    Such a look would change nothing, and the field would stay in the order of those to spray.
    """
    if freeze is None and inspection.found != "alive":
        raise DataError(
            [
                f'inspection: found: got "{inspection.found}" for {field.name} with no killing '
                f"freeze on record before it this season, wanted one ({killing_f:g} F or colder, "
                f"or of unknown low); log it first: warmspell freeze log {field.id} --when DATE"
            ]
        )


def early_note(inspection: FreezeInspection, freeze: Freeze | None, field: Field) -> str | None:
    """What to tell of a field found alive before the effect of a freeze can show, else None."""
    if freeze is None or freeze.told_by == "forecast" or inspection.found != "alive":
        return None
    zone = ZoneInfo(field.time_zone)
    froze, looked = (
        moment.astimezone(zone).date() for moment in (freeze.froze_utc, inspection.inspected_utc)
    )
    days = (looked - froze).days
    if days >= INSPECT_DAYS[0]:
        return None
    first, last = (froze + timedelta(days=after) for after in INSPECT_DAYS)
    looked_at = f"looked at {plural(days, 'day')} after the freeze" if days else "froze that day"
    return (
        f"{field.name}: {looked_at}, and the effect shows after {INSPECT_DAYS[0]} to "
        f"{INSPECT_DAYS[1]} days; look again {day_range(first, last)}"
    )
