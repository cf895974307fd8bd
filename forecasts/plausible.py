"""Whether an answer can be weather at all, before anything is decided on it."""

import math
from datetime import timedelta

import numpy as np

from agronomy.hourly_forecast import CellForecast

#: Largest change of temperature from one hour to the next that is believed [F]; judgement. Cold
#: fronts of the plains have done as much in an hour, forecasts of them do not.
MOST_STEP_F = 25.0

#: Farthest the middle temperature of an answer may lie from what the latitude, height and time of
#: the year suggest [F]; judgement. Twice a hard cold spell, less than a mix-up of F and C does to
#: temperatures above 45 F.
MOST_FROM_NORMAL_F = 35.0

#: Fewest known hours that are held against the time of the year [h].
FEWEST_HOURS = 24

#: Year's mean at latitude 35 by the sea [F], its fall with each degree of latitude [F], its fall
#: with height [F per 1000 ft], half the swing of the year there [F], the swing's growth with each
#: degree of latitude [F], and the warmest day of the year. From memory, for the middle latitudes:
#: a coarse yardstick against mix-ups of units, never a forecast.
YEAR_MEAN_F, MEAN_PER_DEG_F, FALL_PER_1000_FT_F = 61.0, -1.5, -2.0
YEAR_SWING_F, SWING_PER_DEG_F, WARMEST_DAY = 20.0, 1.0, 201

#: Latitudes, north or south, between which that yardstick is used [deg].
LEAST_LATITUDE, MOST_LATITUDE = 20.0, 60.0


def why_not_plausible(new: CellForecast, *, alone: bool) -> str:
    """Why an answer cannot be weather, in plain words, or "" where it can.

    Parameters
    ----------
    new
        The answer.
    alone
        Whether there is no earlier answer to measure it against, so that the time of the year
        must do.
    """
    step_f, hour = largest_step(new)
    if step_f > MOST_STEP_F:
        when = new.start_utc + timedelta(hours=hour)
        return f"the new answer jumps {step_f:.0f} F within an hour ({when:%d %b %H:%M} UTC)"
    away_f = from_normal_f(new) if alone else 0.0
    if abs(away_f) > MOST_FROM_NORMAL_F:
        side = "above" if away_f > 0 else "below"
        return (
            f"the new answer is {abs(away_f):.0f} F {side} what the place and the time of year "
            "suggest, as a mix-up of F and C would be"
        )
    return ""


def largest_step(new: CellForecast) -> tuple[float, int]:
    """The largest change between two known hours side by side [F], and the later one's index."""
    steps_f = np.abs(np.diff(new.hourly["temp_f"]))
    if not steps_f.size or np.isnan(steps_f).all():
        return 0.0, 0
    at = int(np.nanargmax(steps_f))
    return float(steps_f[at]), at + 1


def from_normal_f(new: CellForecast) -> float:
    """How far the middle temperature lies from the normal of place and season [F].

    0 where too few hours are known, where the answer does not say its place, and outside the
    middle latitudes.
    """
    known_f = new.hourly["temp_f"]
    known_f = known_f[~np.isnan(known_f)]
    if known_f.size < FEWEST_HOURS or not new.outline:
        return 0.0
    latitude = sum(row for _, row in new.outline) / len(new.outline)
    if not LEAST_LATITUDE <= abs(latitude) <= MOST_LATITUDE:
        return 0.0
    day = new.start_utc.timetuple().tm_yday + len(new.hourly["temp_f"]) / 48
    height_ft = 0.0 if math.isnan(new.elevation_ft) else new.elevation_ft
    return float(np.median(known_f)) - season_normal_f(latitude, day, height_ft)


def season_normal_f(latitude: float, day_of_year: float, elevation_ft: float = 0.0) -> float:
    """A coarse normal temperature of a day [F]: a cosine through the year."""
    north = abs(latitude) - 35
    mean_f = YEAR_MEAN_F + MEAN_PER_DEG_F * north + FALL_PER_1000_FT_F * elevation_ft / 1000
    swing_f = max(0.0, YEAR_SWING_F + SWING_PER_DEG_F * north)
    warmest = WARMEST_DAY if latitude >= 0 else WARMEST_DAY - 365 / 2
    return mean_f + swing_f * math.cos(2 * math.pi * (day_of_year - warmest) / 365)
