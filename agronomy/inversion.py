"""Hours in which cold air may lie under warmer air, and fine droplets drift far at one height.

A forecast of the open air cannot see an inversion, only the weather that makes one. This tells what
to look out for; it opens and shuts no gate. The hours near sunrise and sunset are gated apart.
"""

import numpy as np
import numpy.typing as npt

from agronomy.sun import SunHours
from agronomy.three_valued import NO, UNKNOWN, YES, Gate, all_of, at_least, gate

#: No inversion to be expected. Definition.
LOW = NO
#: An inversion is to be assumed. Definition.
LIKELY = YES
#: What decides is not known. Definition.
NOT_KNOWN = UNKNOWN

#: Hours before sunset from which one may form [h]. 3 to 4 h before sunset (S34), the earlier.
FORMS_BEFORE_SUNSET_H = 4.0

#: Hours after sunrise until which one may last [h]. 1 to 2 h after sunrise (S34), the later.
LASTS_AFTER_SUNRISE_H = 2.0

#: Wind from which air mixes [mph]. Calmer air is suspect: stop below 3 mph (S33); nearly calm
#: air is a sign (S34c).
MIXING_WIND_MPH = 3.0

#: Cloud cover below which the ground cools freely [%]. Clear sky is a sign (S34c); the figure is
#: judgement.
CLEAR_SKY_PCT = 40.0


def inversion_risk(wind_mph: npt.ArrayLike, sky_pct: npt.ArrayLike, sun: SunHours) -> Gate:
    """Whether an inversion is to be assumed in each hour: `LOW`, `LIKELY` or `NOT_KNOWN`.

    Likely from late afternoon through the night to the morning after, unless wind and cloud both
    speak against it; low in the middle of the day.

    Parameters
    ----------
    wind_mph, sky_pct
        Hourly wind [mph] and cloud cover [%], shape (cells, hours).
    sun
        The same cells and hours as the sun sees them.

    Returns
    -------
    ndarray of int8
        Shape (cells, hours). A NaN leaves an hour not known unless what is known decides it.

    References
    ----------
    North Dakota State, 2021 (S34); Canola Council (S34c): assume an inversion from late evening
    to early morning unless wind is steady and cloud solid.
    """
    mixed = all_of(at_least(wind_mph, MIXING_WIND_MPH), at_least(sky_pct, CLEAR_SKY_PCT))
    midday = all_of(
        gate(sun.daylight == 1, ~np.isnan(sun.daylight)),
        at_least(sun.after_sunrise_h, LASTS_AFTER_SUNRISE_H),
        at_least(sun.before_sunset_h, FORMS_BEFORE_SUNSET_H),
    )
    low = (mixed == YES) | (midday == YES)
    likely = (mixed == NO) & (midday == NO)
    return np.asarray(np.where(low, LOW, np.where(likely, LIKELY, NOT_KNOWN)), dtype=np.int8)
