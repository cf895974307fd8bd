"""Warmth after a spray: heat units of two weeks and the day the leaves should be off.

The forecast speaks as far as it reaches, the season's normal after that.
"""

from datetime import date, datetime, timedelta

import numpy as np
import numpy.typing as npt

from agronomy.activity import activity, expected_activity
from agronomy.leaf_drop import LEAF_DROP_LATEST_DAYS, leaf_drop_days
from agronomy.season import normal_hour_f, normal_on
from dispatch.figures import day_heat_f_days
from dispatch.outlook import Outlook
from dispatch.policy import Climate
from dispatch.projection import daily_heat
from dispatch.words import LocalClock

Floats = npt.NDArray[np.float64]

#: Days of the longer heat sum [days]. Trials of harvest aids were rated after them (S9).
LONG_DAYS = 14


def heat_units_14d_f_days(
    outlook: Outlook, row: int, from_h: int, climate: Climate, clock: LocalClock
) -> tuple[float | None, bool]:
    """DD60 of the fourteen 24-hour days from an hour on, and whether climate fills their end.

    Days past the last one the forecast knows count at the season's normal heat. None where no
    day is known, or where one before the last known is not.
    """
    days = [day_heat_f_days(outlook, row, from_h + 24 * day) for day in range(LONG_DAYS)]
    seen = next((place for place, told in enumerate(days) if told is None), LONG_DAYS)
    if not seen or any(told is not None for told in days[seen:]):
        return None, False
    first = clock.local(outlook.forecast.hour_utc(from_h)).date() + timedelta(days=seen)
    normal = daily_heat(climate, first, LONG_DAYS - seen).sum() if seen < LONG_DAYS else 0.0
    known = sum(told for told in days[:seen] if told is not None)
    return round(known + float(normal), 1), seen < LONG_DAYS


def leaf_drop_on(
    outlook: Outlook,
    row: int,
    sprayed_utc: datetime,
    longitude: float,
    climate: Climate,
    clock: LocalClock,
) -> date | None:
    """Day on which leaf drop should be full after a spray at a moment.

    Hours that the forecast does not tell, before it as well as after, count at the season's
    normal.
    """
    hours = 24 * LEAF_DROP_LATEST_DAYS
    worked = _normal_activity(sprayed_utc, hours, longitude, climate)
    first = round((sprayed_utc - outlook.forecast.start_utc) / timedelta(hours=1))
    temp = outlook.hourly["temp_f"][row]
    at = first + np.arange(hours)
    seen = (at >= 0) & (at < temp.size)
    told = activity(temp[at[seen]])
    worked[seen] = np.where(np.isnan(told), worked[seen], told)
    days = leaf_drop_days(worked.reshape(-1, 24).sum(axis=1) / 24)
    return None if days is None else clock.local(sprayed_utc).date() + timedelta(days=days)


def _normal_activity(start: datetime, hours: int, longitude: float, climate: Climate) -> Floats:
    solar = start + timedelta(hours=longitude / 15)
    day = solar.timetuple().tm_yday + solar.hour / 24 + solar.minute / 1440
    days = day + np.arange(hours) / 24
    high, low = normal_on(days, climate.normal_high_f), normal_on(days, climate.normal_low_f)
    mean = normal_hour_f(high, low, (days % 1) * 24)
    return np.asarray(expected_activity(mean, climate.temp_sd_f))
