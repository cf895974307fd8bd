"""The low of each night window, for providers that tell every hour but no lows of nights."""

import numpy as np

from agronomy.hourly_forecast import Hours

#: A night window runs from 7 pm to 9 am local standard time [h of the day, h], as the US Weather
#: Service's own does, so that a low means the same night whoever tells it.
WINDOW_FROM_H, WINDOW_H = 19, 14


def night_window_lows(temp_f: Hours, start: int, longitude: float) -> Hours:
    """Lowest hourly temperature of the night window each hour lies in [F].

    Parameters
    ----------
    temp_f
        Hourly temperature [F], shape (hours,), NaN unknown.
    start
        First hour [h since 1970 UTC].
    longitude
        Of the place [deg], which gives its standard time to the hour.

    Returns
    -------
    ndarray
        Same shape. NaN outside the windows, and throughout a window of which any hour is not
        known or lies outside the series: a low of part of a night would pass for the night's.
    """
    local = start + np.arange(temp_f.size) + round(longitude / 15)
    since = (local - WINDOW_FROM_H) % 24
    window = (local - since) // 24
    lows = np.full(temp_f.size, np.nan, dtype=np.float32)
    for one in np.unique(window):
        hours = (window == one) & (since < WINDOW_H)
        if hours.sum() == WINDOW_H:
            # `min` is NaN where any of them is.
            lows[hours] = temp_f[hours].min()
    return lows
