"""A field's hours as windows of the plan: the whole spray inside them, not only its start.

A full window lasts until the last minute from which the rain-free hours and the nights without a
freeze are still seen, so both are counted from the end of the spray. Hours that are not known are
never part of a window.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime

from dispatch.report import SeasonStrip
from dispatch.routes.problem import BOTH_KINDS, RouteWindow
from dispatch.routes.settings import RouteSettings
from farm.rig import RigKind

#: Effects this close count as one [points]; the lowest of them is what a plan reckons with.
SAME_EFFECT_POINTS = 1.0

Hours = Sequence[bool]


def field_windows(
    season: SeasonStrip,
    start_utc: datetime,
    settings: RouteSettings,
    *,
    short: bool,
) -> tuple[RouteWindow, ...]:
    """Windows in the days planned, in the order of their hours.

    Parameters
    ----------
    season
        The field's hours, as the morning kept them.
    start_utc
        Minute 0 of the plan; earlier hours are past.
    settings
        Days planned, and how long wet ground keeps ground rigs out.
    short
        Whether hours that are only part of a window are wanted too.
    """
    first_min = round((season.start_utc - start_utc).total_seconds() / 60)
    inside = [
        first_min + 60 * hour >= 0 and first_min + 60 * hour < 60 * 24 * settings.days
        for hour in range(len(season.spray))
    ]
    wet = wet_ground(season, settings.wet_ground_h)
    dry = [here and not soaked for here, soaked in zip(inside, wet, strict=True)]
    by_air = tuple(_windows(season, inside, first_min, short=short))
    by_ground = tuple(_windows(season, dry, first_min, short=short))
    both = [one for one in by_air if one in by_ground]
    apart = [
        *(_only(one, "air") for one in by_air if one not in both),
        *(_only(one, "ground") for one in by_ground if one not in both),
    ]
    return tuple(sorted([*both, *apart], key=lambda one: (one.open_min, not one.full, one.kinds)))


def wet_ground(season: SeasonStrip, wet_ground_h: float) -> list[bool]:
    """Hours in which ground rigs stay out: those after an hour that counts as rain.

    An hour whose chance of rain is not known counts as rain.
    """
    wet, until = [], -1.0
    for hour, chance in enumerate(season.rain_chance_pct):
        rains = chance is None or chance >= season.rain_chance_max_pct
        if rains and wet_ground_h > 0:
            until = max(until, hour + 1 + wet_ground_h)
        wet.append(hour < until)
    return wet


def lacking(season: SeasonStrip, start: int, end: int) -> str:
    """What keeps hours from being a full window, from one to where a spray must be done."""
    dry, free = season.dry[start : end + 1], season.free[start : end + 1]
    words = {
        "rain in the rain-free hours": "n" in dry,
        "rain not known long enough": "?" in dry,
        f"a freeze within {season.freeze_free_days} nights": "n" in free,
        f"not all {season.freeze_free_days} nights seen": "?" in free,
    }
    return ", ".join(word for word, told in words.items() if told)


def _only(window: RouteWindow, kind: RigKind) -> RouteWindow:
    return replace(window, kinds=(kind,))


def _windows(
    season: SeasonStrip, inside: Hours, first_min: int, *, short: bool
) -> Iterator[RouteWindow]:
    full = [
        here and _usable(season, hour, {"full"}) and season.dry[hour] == season.free[hour] == "y"
        for hour, here in enumerate(inside)
    ]
    for start, end in _runs(full):
        seen_past = end < len(full) and season.dry[end] == "y" and season.free[end] == "y"
        close = end if seen_past else end - 1
        yield from _by_effect(season, start, close, first_min, full=True)
    if not short:
        return
    part = [here and _usable(season, hour, {"full", "partial"}) for hour, here in enumerate(inside)]
    for start, end in _runs(part):
        if not all(full[start:end]):
            yield from _by_effect(season, start, end, first_min, full=False)


def _usable(season: SeasonStrip, hour: int, wanted: set[str]) -> bool:
    return (
        season.spray[hour] in wanted
        and season.workable[hour] == "y"
        and season.effect_pct[hour] is not None
    )


def _runs(hours: Hours) -> Iterator[tuple[int, int]]:
    start = None
    for hour, good in enumerate([*hours, False]):
        if good and start is None:
            start = hour
        elif not good and start is not None:
            yield start, hour
            start = None


def _by_effect(
    season: SeasonStrip, start: int, close: int, first_min: int, *, full: bool
) -> Iterator[RouteWindow]:
    """A run of start hours, parted where the effect moves by more than a point."""
    effects = [season.effect_pct[hour] or 0.0 for hour in range(start, close)]
    part = 0
    for place in range(1, len(effects) + 1):
        ends = place == len(effects)
        if not ends:
            spread = effects[part : place + 1]
            if max(spread) - min(spread) <= SAME_EFFECT_POINTS:
                continue
        last_start = close if ends else start + place
        yield RouteWindow(
            open_min=first_min + 60 * (start + part),
            last_start_min=first_min + 60 * last_start - 1,
            close_min=first_min + 60 * close,
            effect_pct=min(effects[part:place]),
            full=full,
            kinds=BOTH_KINDS,
            lacks="" if full else lacking(season, start + part, close),
        )
        part = place
