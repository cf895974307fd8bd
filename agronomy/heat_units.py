"""Heat units of a day, by method.

Cotton thresholds in print were fitted with the simple average. In frost-season weather the methods
differ by half: never mix them, nor compare one method's sum with another's threshold.
"""

import numpy as np
import numpy.typing as npt

from agronomy.temperature_curve import Curve, Floats, day_extremes, sine_above, triangle_above

#: Temperature below which cotton makes no heat units [deg F]. Univ. of Tennessee 2012 (S1).
BASE_F = 60.0


def daily_heat_units(max_f: npt.ArrayLike, min_f: npt.ArrayLike, base_f: float = BASE_F) -> Floats:
    """Heat units of days by the simple average: DD60 when the base is 60 F [F days].

    The mean of the extremes less the base, each day floored at 0, no upper cap [1]_; method 1 of
    [2]_. Some extension pages print ``(max + min) - 60/2``, a misprint.

    Parameters
    ----------
    max_f, min_f
        Highest and lowest temperature of the day [deg F], broadcast together.
    base_f
        Base temperature [deg F].

    Returns
    -------
    float or ndarray
        Heat units [F days], at least 0; NaN where an extreme is NaN; a float for scalars.

    Raises
    ------
    ValueError
        Where a maximum is below its minimum.

    References
    ----------
    .. [1] Cotton Defoliation: When to Defoliate, University of Tennessee, 2012.
    .. [2] McMaster and Wilhelm, 1997, Agric. For. Meteorol. 87:291-300, table 1.

    Examples
    --------
    >>> float(daily_heat_units(84.0, 58.0))
    11.0
    """
    high, low = day_extremes(max_f, min_f)
    return _plain(np.maximum((high + low) / 2 - base_f, 0.0))


def clipped_heat_units(
    max_f: npt.ArrayLike,
    min_f: npt.ArrayLike,
    base_f: float = BASE_F,
    cap_f: float | None = None,
) -> Floats:
    """Heat units of days with both extremes clipped before averaging [F days].

    Method 2 of McMaster and Wilhelm, 1997, table 1: an extreme below the base counts as the base,
    one above the cap as the cap. Parameters, returns and errors as in `single_sine_heat_units`.
    """
    high, low = day_extremes(max_f, min_f)
    top = np.inf if cap_f is None else _checked_cap(base_f, cap_f)
    return _plain((np.clip(high, base_f, top) + np.clip(low, base_f, top)) / 2 - base_f)


def single_sine_heat_units(
    max_f: npt.ArrayLike,
    min_f: npt.ArrayLike,
    base_f: float = BASE_F,
    cap_f: float | None = None,
) -> Floats:
    """Heat units of days by a sine through the extremes, horizontal cutoff [F days].

    Parameters
    ----------
    max_f, min_f
        Highest and lowest temperature of the day [deg F], broadcast together.
    base_f
        Base temperature [deg F].
    cap_f
        Temperature above which more heat adds nothing [deg F]; None for no cap.

    Returns
    -------
    float or ndarray
        Heat units [F days], at least 0; NaN where an extreme is NaN; a float for scalars.

    Raises
    ------
    ValueError
        Where a maximum is below its minimum, or the cap is not above the base.

    References
    ----------
    Zalom et al., 1983, University of California Leaflet 21373, table 7.
    """
    return _between(sine_above, *day_extremes(max_f, min_f), base_f, cap_f)


def single_triangle_heat_units(
    max_f: npt.ArrayLike,
    min_f: npt.ArrayLike,
    base_f: float = BASE_F,
    cap_f: float | None = None,
) -> Floats:
    """Heat units of days by a triangle through the extremes; else as `single_sine_heat_units`."""
    return _between(triangle_above, *day_extremes(max_f, min_f), base_f, cap_f)


def double_sine_heat_units(
    max_f: npt.ArrayLike,
    min_f: npt.ArrayLike,
    next_min_f: npt.ArrayLike,
    base_f: float = BASE_F,
    cap_f: float | None = None,
) -> Floats:
    """Heat units of days by two half sines, the second falling to tomorrow's minimum [F days].

    As `single_sine_heat_units`, with ``next_min_f`` the next day's minimum [deg F]. A night
    warmer than the day before it is a half day of rising temperature, not an error.
    """
    return _two_halves(sine_above, max_f, min_f, next_min_f, base_f, cap_f)


def double_triangle_heat_units(
    max_f: npt.ArrayLike,
    min_f: npt.ArrayLike,
    next_min_f: npt.ArrayLike,
    base_f: float = BASE_F,
    cap_f: float | None = None,
) -> Floats:
    """Heat units of days by two half triangles; else as `double_sine_heat_units`.

    For the day 60-100-75 F of Zalom et al., 1983, table 7 (base 55, cap 90) this gives 27.12; the
    printed 24.88 does not follow from the method and is not reproduced.
    """
    return _two_halves(triangle_above, max_f, min_f, next_min_f, base_f, cap_f)


def hourly_heat_units(temp_f: npt.ArrayLike, base_f: float = BASE_F) -> Floats:
    """Heat units of a run of hours: the excess over the base, summed over the last axis [F days].

    Parameters
    ----------
    temp_f
        Hourly temperature [deg F], shape (..., hours); a scalar is one hour.
    base_f
        Base temperature [deg F].

    Returns
    -------
    float or ndarray
        Heat units [F days], at least 0; NaN if any hour is NaN.
    """
    temps = np.atleast_1d(np.asarray(temp_f, dtype=np.float64))
    return _plain(np.asarray(np.maximum(temps - base_f, 0.0).sum(axis=-1) / 24))


def _two_halves(
    curve: Curve,
    max_f: npt.ArrayLike,
    min_f: npt.ArrayLike,
    next_min_f: npt.ArrayLike,
    base_f: float,
    cap_f: float | None,
) -> Floats:
    high, low = day_extremes(max_f, min_f)
    turn = np.asarray(next_min_f, dtype=np.float64)
    rising = _between(curve, high, low, base_f, cap_f)
    falling = _between(curve, np.maximum(high, turn), np.minimum(high, turn), base_f, cap_f)
    return _plain(np.asarray((rising + falling) / 2))


def _between(curve: Curve, high: Floats, low: Floats, base_f: float, cap_f: float | None) -> Floats:
    above_base = curve(high, low, base_f)
    if cap_f is None:
        return _plain(above_base)
    return _plain(np.asarray(above_base - curve(high, low, _checked_cap(base_f, cap_f))))


def _checked_cap(base_f: float, cap_f: float) -> float:
    if not cap_f > base_f:
        raise ValueError(
            f"cap_f: got {cap_f:g}, wanted more than base_f {base_f:g}; "
            "raise the cap, or give None for no cap"
        )
    return cap_f


def _plain(values: Floats) -> Floats:
    """The float inside a 0-d array; other arrays as they are."""
    plain: Floats = values[()]
    return plain
