"""Sunrise, sunset, and the hours of a forecast grid as the sun sees them.

The times come from astral, asked for one solar or civil date at a time with a zone of that place:
asked in UTC it answers for the wrong day at American longitudes. Places without a sunrise on a
date (polar day or night) have unknown daylight, never a guess.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo

import numpy as np
import numpy.typing as npt
from astral import Observer
from astral.sun import sunrise, sunset

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]

#: Places whose latitudes round to one multiple of this share their sun [deg]; costs at most 10 s
#: below 45 degrees of latitude.
SHARED_LATITUDE_DEG = 0.05

#: Places whose longitudes round to one multiple of this share their sun by solar time [deg]; the
#: sun's own motion over half of it, an hour, costs at most 7 s below 45 degrees of latitude.
SHARED_LONGITUDE_DEG = 30.0

_DEG_PER_HOUR = 15.0


@dataclass(frozen=True, eq=False)
class SunHours:
    """The sun over places and hours; NaN where a day has no sunrise or sunset.

    ``daylight`` (places, hours): 1 where the whole hour lies between sunrise and sunset, else 0.
    ``after_sunrise_h`` (places, hours): hours from the last sunrise to the start of the hour; in
    the hours before dawn that is the day before's. ``before_sunset_h`` (places, hours): hours
    from the end of the hour to the sunset of the same solar day, negative after it until solar
    midnight. ``dawn_h`` (places, dawns): index of the hour that holds each sunrise on the grid, in
    order, -1 where a place has fewer.
    """

    daylight: Floats
    after_sunrise_h: Floats
    before_sunset_h: Floats
    dawn_h: Indices


def sunrise_sunset_utc(
    latitude: float, longitude: float, local_date: date, time_zone: tzinfo
) -> tuple[datetime | None, datetime | None]:
    """Sunrise and sunset of a civil date at a place.

    Parameters
    ----------
    latitude, longitude
        Position [deg], north and east positive.
    local_date
        Date in ``time_zone``.
    time_zone
        Zone of the place.

    Returns
    -------
    tuple
        Sunrise and sunset, aware, in UTC; None for one the sun does not make on that date.

    Notes
    -----
    Flat horizon at sea level, upper limb, mean refraction. Within two minutes of the Solar
    Position Algorithm at cotton latitudes.
    """
    place = Observer(latitude, longitude, 0.0)
    times: list[datetime | None] = []
    for event in (sunrise, sunset):
        try:
            times.append(event(place, date=local_date, tzinfo=time_zone).astimezone(UTC))
        except ValueError:
            times.append(None)
    return times[0], times[1]


def sun_hours(
    latitude: npt.ArrayLike, longitude: npt.ArrayLike, start_utc: datetime, hours: int
) -> SunHours:
    """The sun over several places on one grid of hours.

    Parameters
    ----------
    latitude, longitude
        Positions [deg], shape (places,).
    start_utc
        Start of the first hour, aware.
    hours
        Length of the grid [h].

    Returns
    -------
    SunHours
        Arrays of shape (places, hours); NaN where the sun's times or the position are unknown.
    """
    latitudes = np.atleast_1d(np.asarray(latitude, dtype=np.float64))
    longitudes = np.atleast_1d(np.asarray(longitude, dtype=np.float64))
    hour = np.arange(hours, dtype=np.int64)
    day = _solar_day(longitudes, start_utc, hour)
    first = int(day.min(initial=0)) - 1
    days = int(day.max(initial=0)) - first + 1
    rises, sets = _sun_times(latitudes, longitudes, start_utc, first, days)
    today = day - first
    rise = np.take_along_axis(rises, today, axis=1)
    fall = np.take_along_axis(sets, today, axis=1)
    last_rise = np.where(hour < rise, np.take_along_axis(rises, today - 1, axis=1), rise)
    inside = ((rise <= hour) & (hour + 1 <= fall)).astype(np.float64)
    return SunHours(
        daylight=np.where(np.isnan(rise) | np.isnan(fall), np.nan, inside),
        after_sunrise_h=np.asarray(hour - last_rise, dtype=np.float64),
        before_sunset_h=fall - (hour + 1),
        dawn_h=_dawns(rises, hours),
    )


def _solar_day(longitudes: Floats, start_utc: datetime, hour: Indices) -> Indices:
    """Solar date of the start of each hour, in days after the UTC date of the grid's start."""
    start = start_utc.astimezone(UTC)
    into_day = (start - datetime(start.year, start.month, start.day, tzinfo=UTC)) / (
        timedelta(hours=1)
    )
    offset = np.nan_to_num(longitudes) / _DEG_PER_HOUR
    return np.floor((into_day + hour + offset[:, np.newaxis]) / 24).astype(np.int64)


def _sun_times(
    latitudes: Floats, longitudes: Floats, start_utc: datetime, first: int, days: int
) -> tuple[Floats, Floats]:
    """Sunrise and sunset [h after the start], shape (places, days), by solar date."""
    shared_latitude = np.round(latitudes / SHARED_LATITUDE_DEG) * SHARED_LATITUDE_DEG
    shared_longitude = np.round(longitudes / SHARED_LONGITUDE_DEG) * SHARED_LONGITUDE_DEG
    places, owner = np.unique(
        np.stack([shared_latitude, shared_longitude], axis=1), axis=0, return_inverse=True
    )
    date_zero = start_utc.astimezone(UTC).date()
    rises, sets = np.full((2, len(places), days), np.nan)
    for row, (latitude, longitude) in enumerate(places):
        if np.isnan(latitude) or np.isnan(longitude):
            continue
        zone = timezone(timedelta(hours=float(longitude) / _DEG_PER_HOUR))
        for column in range(days):
            on = date_zero + timedelta(days=first + column)
            up, down = sunrise_sunset_utc(float(latitude), float(longitude), on, zone)
            rises[row, column] = _hours_after(start_utc, up)
            sets[row, column] = _hours_after(start_utc, down)
    owner = owner.reshape(-1)
    later = ((shared_longitude - longitudes) / _DEG_PER_HOUR)[:, np.newaxis]
    return rises[owner] + later, sets[owner] + later


def _hours_after(start_utc: datetime, moment: datetime | None) -> float:
    return float("nan") if moment is None else (moment - start_utc) / timedelta(hours=1)


def _dawns(rises: Floats, hours: int) -> Indices:
    inside = (rises >= 0) & (rises < hours)
    hour = np.sort(np.where(inside, np.floor(np.where(inside, rises, 0.0)), hours), axis=1)
    most = int(inside.sum(axis=1).max(initial=0))
    return np.where(hour < hours, hour, -1)[:, :most].astype(np.int64)
