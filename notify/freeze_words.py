"""What a morning says of freezes. "No freeze" is never said, only how far none is seen."""

from dataclasses import dataclass
from datetime import datetime

from dispatch.report import FieldCall
from dispatch.words import LocalClock, chance, chance_range, plural, temp

#: Forecasts that may still say how far no freeze is seen. An older one keeps a warning alive
#: but never clears it.
MAY_CLEAR = ("fresh", "ageing")


@dataclass(frozen=True)
class FreezeOutlook:
    """The freezes of several fields together.

    ``frozen`` fields see a freeze, ``clear`` ones none through ``known_first_utc`` (the field
    seen least far) to ``known_last_utc``, and of ``unseen`` ones nothing can be said.
    """

    first_utc: datetime | None
    killing_utc: datetime | None
    frozen: int
    clear: int
    unseen: int
    known_first_utc: datetime | None
    known_last_utc: datetime | None
    lows_f: tuple[float, float] | None
    low_utc: datetime | None
    chances_pct: tuple[float, float] | None


def freeze_outlook(fields: tuple[FieldCall, ...]) -> FreezeOutlook:
    """The earliest, the lowest and the least known of these fields' freezes."""
    firsts = [one.freeze.first_utc for one in fields if one.freeze.first_utc is not None]
    killings = [one.freeze.killing_utc for one in fields if one.freeze.killing_utc is not None]
    through = [
        one.freeze.known_through_utc
        for one in fields
        if one.freeze.first_utc is None
        and one.freeze.known_through_utc is not None
        and one.forecast.age_mark in MAY_CLEAR
    ]
    lows = [
        (one.freeze.low_f, one.freeze.low_utc) for one in fields if one.freeze.low_f is not None
    ]
    chances = [one.freeze.chance_7d_pct for one in fields if one.freeze.chance_7d_pct is not None]
    return FreezeOutlook(
        first_utc=min(firsts, default=None),
        killing_utc=min(killings, default=None),
        frozen=len(firsts),
        clear=len(through),
        unseen=len(fields) - len(firsts) - len(through),
        known_first_utc=min(through, default=None),
        known_last_utc=max(through, default=None),
        lows_f=(min(low for low, _ in lows), max(low for low, _ in lows)) if lows else None,
        low_utc=min(lows, key=lambda pair: pair[0])[1] if lows else None,
        chances_pct=(min(chances), max(chances)) if chances else None,
    )


def freeze_sentences(outlook: FreezeOutlook, clock: LocalClock) -> tuple[str, ...]:
    """The freeze lines of a digest."""
    told = [*_seen(outlook, clock), *_lows(outlook, clock)]
    if outlook.unseen:
        some = outlook.frozen or outlook.clear
        whose = f"For {plural(outlook.unseen, 'field')} a" if some else "A"
        told.append(f"{whose} freeze cannot be ruled out.")
    return tuple(told)


def _seen(outlook: FreezeOutlook, clock: LocalClock) -> list[str]:
    said = []
    if outlook.first_utc is not None:
        of = outlook.frozen + outlook.clear + outlook.unseen
        share = f" ({outlook.frozen} of {plural(of, 'field')})" if of > outlook.frozen else ""
        said.append(f"First freeze seen {clock.weekday_moment(outlook.first_utc)}{share}.")
    if outlook.killing_utc is not None:
        said.append(f"First killing freeze seen {clock.weekday_moment(outlook.killing_utc)}.")
    if outlook.known_first_utc is not None and outlook.known_last_utc is not None:
        where = " on the others" if outlook.first_utc is not None else ""
        least, most = (
            clock.weekday_moment(moment)
            for moment in (outlook.known_first_utc, outlook.known_last_utc)
        )
        spread = "" if least == most else f" (farthest field: through {most})"
        said.append(f"No freeze seen{where} through {least}{spread}.")
    return said


def _lows(outlook: FreezeOutlook, clock: LocalClock) -> list[str]:
    parts = []
    if outlook.lows_f is not None:
        coldest, mildest = (temp(low) for low in outlook.lows_f)
        on = f" {clock.day_name(clock.local(outlook.low_utc).date())}" if outlook.low_utc else ""
        spread = f" ({coldest} to {mildest} by field)" if coldest != mildest else ""
        parts.append(f"Coldest low {coldest}{on}{spread}.")
    if outlook.chances_pct is not None:
        parts.append(f"Freeze within 7 days: {chance_range(*outlook.chances_pct)}.")
    return parts


def field_freeze(one: FieldCall, clock: LocalClock, *, killing: bool) -> str:
    """The freeze sentence of one field's card."""
    freeze, said = one.freeze, []
    if freeze.chance_7d_pct is not None:
        hard = (
            f" (killing {chance(freeze.killing_chance_7d_pct)})"
            if killing and freeze.killing_chance_7d_pct is not None
            else ""
        )
        said.append(f"Freeze within 7 days: {chance(freeze.chance_7d_pct)}{hard}")
    if freeze.first_utc is not None:
        said.append(f"first seen {clock.weekday_moment(freeze.first_utc)}")
    elif freeze.known_through_utc is not None and one.forecast.age_mark in MAY_CLEAR:
        said.append(f"none seen through {clock.weekday_moment(freeze.known_through_utc)}")
    if not said:
        return "Freeze: not known."
    sentence = "; ".join(said) + "."
    return sentence if freeze.chance_7d_pct is not None else f"Freeze: {sentence}"
