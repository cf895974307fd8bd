"""The effect of spraying at each hour from now to the end of the season, and what it is made of.

    activity  a(T) = 2^((min(T, 95) - 60) / 10) above 60 F                      an hour
    dose      x_k  = sum of a(T) from the start hour to the end of night k / 24 / 15.7
    warmth    W(x) = min(1, (1 - e^-2x) / (1 - e^-2))
    alive     S_k  = chance of no killing freeze from now to the end of night k
    gain      E    = sum over k = 1..7 of S_k (W(x_k) - W(x_k-1))
    effect         = 100 x E x D x R,   D = 1 - wash loss x chance of washing rain,   R = ready

E is the mean over a cold, a middling and a warm week of what climate may bring past the forecast:
W flattens, so the warmth of the mean week would lie above what weeks are worth.
The forecast speaks as far as its nights must be seen hour by hour, the climate after that. What
the far end of a forecast adds may lower the chance to stay alive, never raise it, and rain that
is not known counts as none for the days to come: so losing data can make waiting look better,
never a spray.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from agronomy.activity import (
    NEED_ACTIVITY_DAYS,
    WEEKS_SHARE,
    activity,
    activity_by_week,
    warmth,
)
from agronomy.nights import HOURLY_NIGHTS
from agronomy.rain_amount import least_chance_pct
from agronomy.rain_odds import washing_chance_pct
from agronomy.season import night_survival, normal_hour_f, normal_on
from agronomy.sun import sun_hours
from agronomy.survival import chance_alive
from dispatch.field_rules import FieldRules
from dispatch.outlook import Outlook
from dispatch.policy import Climate, DispatchPolicy
from farm.field import Field

Floats = npt.NDArray[np.float64]

#: Days a harvest aid works, and nights its effect is summed over [days].
WORK_DAYS = 7


@dataclass(frozen=True, eq=False)
class EffectCurve:
    """Effect by field and start hour, shape (fields, hours), NaN where it cannot be told.

    ``effect_pct`` is 100 x ``alive_warmth`` x ``dry`` x ``ready``. ``warmth`` is what the week
    would give with no freeze. ``alive_killing`` and ``alive_freeze`` are the chances of no killing
    freeze, and of none at the freeze line, up to the end of each night (fields, nights);
    ``night`` is the first night after each hour. Before ``on_forecast_h`` (fields,) the sum rests
    on the forecast, after it on climate.
    """

    effect_pct: Floats
    warmth: Floats
    alive_warmth: Floats
    dry: Floats
    ready: Floats
    wash_pct: Floats
    dose: Floats
    daylight: npt.NDArray[np.bool_]
    alive_killing: Floats
    alive_freeze: Floats
    night: npt.NDArray[np.int64]
    on_forecast_h: npt.NDArray[np.int64]


def effect_curve(
    outlook: Outlook,
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
    ready: Floats,
    policy: DispatchPolicy,
) -> EffectCurve:
    """Effect of spraying each field at each hour of the season ahead.

    Parameters
    ----------
    outlook
        Gates and forecasts, from `dispatch.outlook.field_outlook`.
    registered, rules
        The fields in the outlook's order, and their rules.
    ready
        Share of the crop's readiness at each hour, shape (fields, hours of `season_hours`), 0 to 1.
    policy
        Settings of the order.

    Returns
    -------
    EffectCurve
    """
    hours = season_hours(outlook, policy)
    places = np.array([[one.latitude, one.longitude] for one in registered])
    start = outlook.forecast.start_utc
    sun = sun_hours(places[:, 0], places[:, 1], start, hours)
    night_end = np.where(sun.dawn_h >= 0, sun.dawn_h + 2, hours + 1)
    climates = [rules[one.id].climate for one in registered]
    day = _day_of_year(start, hours, places[:, 1])
    reach = night_end[np.arange(len(registered)), outlook.nights.first + HOURLY_NIGHTS - 1]
    heat = _activity_hours(outlook, climates, day, reach)
    night = (np.arange(hours)[None, :, None] >= night_end[:, None, :]).sum(axis=2)
    night_day = np.take_along_axis(day, np.clip(sun.dawn_h, 0, hours - 1), axis=1)
    gates = [rules[one.id].gates for one in registered]
    killing = np.array([one.killing_f for one in gates])
    freeze = np.array([one.freeze_f for one in gates])
    alive_killing = _alive(outlook, night_day, climates, policy, killing, killing_line=True)
    alive_freeze = _alive(outlook, night_day, climates, policy, freeze, killing_line=False)
    dose, gain, plain = _warmth_alive(heat, night, night_end, alive_killing)
    wash = _wash_ahead(outlook, rules, registered, hours, reach)
    dry = 1 - policy.wash_loss_frac * wash / 100
    return EffectCurve(
        effect_pct=100 * gain * dry * ready,
        warmth=plain,
        alive_warmth=gain,
        dry=dry,
        ready=ready,
        wash_pct=wash,
        dose=dose,
        daylight=sun.daylight == 1,
        alive_killing=alive_killing,
        alive_freeze=alive_freeze,
        night=night,
        on_forecast_h=reach,
    )


def season_hours(outlook: Outlook, policy: DispatchPolicy) -> int:
    """Hours looked at: the forecast's grid and the days on climate past it."""
    return outlook.forecast.hours + 24 * policy.climate_reach_days


def _day_of_year(start: datetime, hours: int, longitude: Floats) -> Floats:
    """Local solar day of year of each hour, with its fraction, shape (fields, hours)."""
    solar = [start + timedelta(hours=float(one) / 15) for one in longitude]
    first = np.array([one.timetuple().tm_yday + one.hour / 24 + one.minute / 1440 for one in solar])
    return np.asarray(first[:, None] + np.arange(hours)[None, :] / 24)


def _activity_hours(
    outlook: Outlook,
    climates: Sequence[Climate],
    day: Floats,
    reach: npt.NDArray[np.int64],
) -> Floats:
    """Activity of each hour in a cold, a middling and a warm week, shape (weeks, fields, hours).

    The forecast's before ``reach``, the same in all three, the climate's after.
    """
    high = np.stack(
        [normal_on(row, one.normal_high_f) for row, one in zip(day, climates, strict=True)]
    )
    low = np.stack(
        [normal_on(row, one.normal_low_f) for row, one in zip(day, climates, strict=True)]
    )
    spread = np.array([[one.temp_sd_f] for one in climates])
    normal = normal_hour_f(high, low, (day % 1) * 24)
    heat = activity_by_week(normal, spread)
    seen = activity(outlook.hourly["temp_f"])
    length = seen.shape[1]
    use = (np.arange(length)[None, :] < reach[:, None]) & ~np.isnan(seen)
    heat[..., :length] = np.where(use, seen, heat[..., :length])
    return np.asarray(heat)


def _alive(
    outlook: Outlook,
    night_day: Floats,
    climates: Sequence[Climate],
    policy: DispatchPolicy,
    threshold_f: Floats,
    *,
    killing_line: bool,
) -> Floats:
    line = "killing" if killing_line else "first"
    parts = ("day", "sd_days", "share_frac")
    when = np.array([[getattr(one, f"{line}_freeze_{part}") for part in parts] for one in climates])
    climate = night_survival(np.floor(night_day), when[:, :1], when[:, 1:2], when[:, 2:])
    trusted = _low_to_trust(outlook)
    beyond = night_day.shape[1] - trusted.shape[1]
    lows = np.pad(trusted, ((0, 0), (0, beyond)), constant_values=np.nan)
    nights = lows.shape[1]
    dof = _by_night(policy.low_error_dof, nights)
    return chance_alive(
        lows,
        _by_night(policy.low_error_sd_f, nights) * np.sqrt((dof - 2) / dof),
        threshold_f,
        climate,
        bias_f=_by_night(policy.low_bias_f, nights),
        dof=dof,
        correlation=policy.night_correlation,
        first=outlook.nights.first,
        trusted_nights=WORK_DAYS,
    )


def _by_night(by_lead: tuple[float, ...], nights: int) -> Floats:
    """A setting by days ahead for each night of the season, the last one kept to the end."""
    lead = np.minimum(np.arange(nights), len(by_lead) - 1)
    return np.asarray(by_lead, float)[lead]


def _low_to_trust(outlook: Outlook) -> Floats:
    """Night lows as the odds take them: of the whole night where all its hours must be seen.

    Past that only the provider's own low of the night counts, so that hours which may or may not
    be there cannot move the odds.
    """
    nights = outlook.nights
    order = np.arange(nights.low_f.shape[1])[None, :] - nights.first[:, None]
    return np.asarray(np.where(order < HOURLY_NIGHTS, nights.low_f, nights.issued_low_f))


def _warmth_alive(
    heat: Floats, night: npt.NDArray[np.int64], night_end: npt.NDArray[np.int64], alive: Floats
) -> tuple[Floats, Floats, Floats]:
    """Dose of the week, warmth with each night's gain counted while alive, and plain warmth.

    Means over a cold, a middling and a warm week, so that what cold ones lose is counted.
    """
    weeks = [_warmth_of_week(one, night, night_end, alive) for one in heat]
    shares = np.asarray(WEEKS_SHARE)
    dose, gain, plain = (np.tensordot(shares, part, axes=1) for part in zip(*weeks, strict=True))
    return dose, gain, plain


def _warmth_of_week(
    heat: Floats, night: npt.NDArray[np.int64], night_end: npt.NDArray[np.int64], alive: Floats
) -> tuple[Floats, Floats, Floats]:
    fields_, hours = heat.shape
    summed = np.concatenate([np.zeros((fields_, 1)), np.cumsum(heat, axis=1)], axis=1)
    start = np.arange(hours)[None, :]
    week_end = np.broadcast_to(np.minimum(start + 24 * WORK_DAYS, hours), (fields_, hours))
    told = np.broadcast_to(start + 24 * WORK_DAYS <= hours, (fields_, hours))
    nights = night_end.shape[1]
    before, gain = np.zeros((fields_, hours)), np.zeros((fields_, hours))
    dose = np.zeros((fields_, hours))
    for step in range(WORK_DAYS):
        index = np.minimum(night + step, nights - 1)
        end = np.take_along_axis(night_end, index, axis=1)
        end = week_end if step == WORK_DAYS - 1 else np.minimum(end, week_end)
        dose = (np.take_along_axis(summed, end, axis=1) - summed[:, :-1]) / 24 / NEED_ACTIVITY_DAYS
        reached = warmth(dose)
        gain += np.take_along_axis(alive, index, axis=1) * (reached - before)
        before = reached
    return (
        np.where(told, dose, np.nan),
        np.where(told, gain, np.nan),
        np.where(told, before, np.nan),
    )


def _wash_ahead(
    outlook: Outlook,
    rules: Mapping[str, FieldRules],
    registered: Sequence[Field],
    hours: int,
    reach: npt.NDArray[np.int64],
) -> Floats:
    """Chance of washing rain after each hour [%]: forecast, then climate.

    Any measurable rain counts as washing here. An amount expected may raise the chance (one of
    none beside an amount is not dry) and never lowers it, even where only more than that amount
    washes: amounts end days before chances do, and a chance that a lost amount could raise would
    make the days to come wetter and a spray look better. Bounds by amounts are shown beside it.

    On climate it is the share of wet days stretched over the rain-free hours: one less the
    chance that each of their days is dry.
    """
    needed = np.array([rules[one.id].treatment.rain_free_h for one in registered])
    wet_day = np.array([rules[one.id].climate.wet_day_pct for one in registered]) / 100
    climate = 100 * (1 - (1 - wet_day) ** (needed / 24))
    wash = np.repeat(climate[:, None], hours, axis=1)
    chance, from_h = outlook.hourly["rain_chance_pct"], outlook.hourly["rain_chance_from_h"]
    told = washing_chance_pct(chance, from_h, needed[:, None], unknown_pct=0)
    ahead = np.maximum(told, least_chance_pct(outlook.hourly["rain_in"], needed[:, None]))
    length = chance.shape[1]
    on_forecast = np.arange(length)[None, :] < reach[:, None]
    wash[:, :length] = np.where(on_forecast, ahead, wash[:, :length])
    return np.asarray(wash)
