"""Dew point, and the hours in which leaves are likely to be wet without rain."""

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import UNKNOWN, YES, Gate, gate
from agronomy.wet_hours import reaches

Floats = npt.NDArray[np.float64]

#: Air this close to its dew point at night wets leaves [F]. 2 C, common practice, no source.
DEW_DEPRESSION_MAX_F = 3.6

#: Humidity from which leaves are taken as wet at any time of day [%]. Common practice, no source.
WET_HUMIDITY_PCT = 90.0

#: Hours a count of dew hours looks at [h]. Definition.
DEW_SPAN_H = 24

#: Driest air with a dew point of its own [%]; drier is taken as this. Judgement.
HUMIDITY_FLOOR_PCT = 0.01

# Magnus over water as the World Meteorological Organization gives it (WMO-No. 8).
_MAGNUS_SLOPE = 17.62
_MAGNUS_C = 243.12


def dew_point_f(temp_f: npt.ArrayLike, humidity_pct: npt.ArrayLike) -> Floats:
    """Dew point over water by Magnus' formula [deg F].

    Parameters
    ----------
    temp_f
        Air temperature [deg F].
    humidity_pct
        Relative humidity over water [%], as forecasts give it below freezing too.

    Returns
    -------
    float or ndarray
        Dew point [deg F], broadcast, at most ``temp_f``; NaN where an input is NaN and where
        humidity is outside 0 to 100.

    References
    ----------
    Guide to Instruments and Methods of Observation, WMO-No. 8, annex 4.B; from memory, held
    against the psychrometric equations of ASHRAE by test.

    Examples
    --------
    >>> round(float(dew_point_f(68.0, 50.0)), 1)
    48.7
    """
    temps, humidity = np.broadcast_arrays(
        np.asarray(temp_f, dtype=np.float64), np.asarray(humidity_pct, dtype=np.float64)
    )
    possible = (humidity >= 0) & (humidity <= 100)
    humidity = np.maximum(np.where(possible, humidity, np.nan), HUMIDITY_FLOOR_PCT)
    celsius = (temps - 32) / 1.8
    exponent = np.log(humidity / 100) + _MAGNUS_SLOPE * celsius / (_MAGNUS_C + celsius)
    dew_point: Floats = 32 + 1.8 * _MAGNUS_C * exponent / (_MAGNUS_SLOPE - exponent)
    return np.asarray(np.minimum(dew_point, temps))[()]


def leaf_wet(
    temp_f: npt.ArrayLike, humidity_pct: npt.ArrayLike, night: npt.ArrayLike = True
) -> Gate:
    """Whether leaves are likely to be wet in each hour, rain apart: yes, no or not known.

    Yes where the humidity is at least `WET_HUMIDITY_PCT`, or where the hour lies in the night and
    the air is within `DEW_DEPRESSION_MAX_F` of its dew point. A stand-in for a wetness sensor: no
    wind, no radiation, no canopy.

    Parameters
    ----------
    temp_f, humidity_pct
        Hourly forecast [deg F, %].
    night
        True where the hour lies in the night; without it every hour may be one.

    Returns
    -------
    ndarray of int8
        Broadcast shape. Not known where an input that decides is NaN or an impossible humidity.
    """
    temps, humidity, dark = np.broadcast_arrays(
        np.asarray(temp_f, dtype=np.float64),
        np.asarray(humidity_pct, dtype=np.float64),
        np.asarray(night, dtype=bool),
    )
    possible = (humidity >= 0) & (humidity <= 100)
    damp = possible & reaches(humidity, WET_HUMIDITY_PCT)
    depression = temps - dew_point_f(temps, humidity)
    dewy = dark & (depression <= DEW_DEPRESSION_MAX_F)
    unknown = ~damp & (~possible | (dark & np.isnan(depression)))
    return gate(damp | dewy, ~unknown)


def dew_hours(
    temp_f: npt.ArrayLike, humidity_pct: npt.ArrayLike, night: npt.ArrayLike = True
) -> Floats:
    """Hours with wet leaves among the 24 hours from each hour on, rain apart [h].

    Parameters
    ----------
    temp_f, humidity_pct, night
        As in `leaf_wet`, shape (..., hours).

    Returns
    -------
    ndarray
        Hours, 0 to 24, shape (..., hours). NaN where one of the 24 hours is not known or lies past
        the end: a lost hour never reads as dry.
    """
    wet = leaf_wet(temp_f, humidity_pct, night)
    hours = np.where(wet == UNKNOWN, np.nan, (wet == YES).astype(np.float64))
    counted = np.full(hours.shape, np.nan)
    if hours.shape[-1] >= DEW_SPAN_H:
        spans = np.lib.stride_tricks.sliding_window_view(hours, DEW_SPAN_H, axis=-1)
        counted[..., : spans.shape[-2]] = spans.sum(axis=-1)
    return counted
