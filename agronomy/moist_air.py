"""Wet bulb and Delta T at the pressure of the place, and that pressure from elevation.

High Plains cotton grows near 900 hPa, where sea-level wet-bulb formulas are off by more than a
degree Fahrenheit in dry air; so the psychrometric equations are solved at the actual pressure.
"""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Pressure of the standard atmosphere at sea level [hPa]. ICAO, 1993.
SEA_LEVEL_HPA = 1013.25

#: Ratio of the molar masses of water and dry air. ASHRAE Fundamentals 2017, chapter 1.
MASS_RATIO = 0.621945

#: Triple point of water, where saturation changes from ice to liquid [deg F].
TRIPLE_POINT_F = 32.018

#: Driest air the equations are solved for [%]; drier is taken as this.
HUMIDITY_FLOOR_PCT = 0.01

#: Halvings of the bracket; the widest (dew point to dry bulb) ends below 0.0001 F.
HALVINGS = 22

_HPA_PER_PSI = 68.9475729
_RANKINE = 459.67


def pressure_hpa(elevation_ft: npt.ArrayLike) -> Floats:
    """Air pressure of the standard atmosphere at an elevation [hPa].

    Parameters
    ----------
    elevation_ft
        Height above sea level [ft].

    Returns
    -------
    float or ndarray
        Pressure [hPa]; NaN where NaN.

    References
    ----------
    ASHRAE Fundamentals 2017, chapter 1, equation 3.
    """
    height = np.asarray(elevation_ft, dtype=np.float64)
    pressure: Floats = SEA_LEVEL_HPA * (1 - 6.8754e-6 * height) ** 5.2559
    return pressure


def saturation_pressure_hpa(temp_f: npt.ArrayLike) -> Floats:
    """Vapour pressure of air saturated over water, or over ice below freezing [hPa].

    Parameters
    ----------
    temp_f
        Temperature [deg F].

    Returns
    -------
    float or ndarray
        Pressure [hPa]; NaN where NaN.

    References
    ----------
    ASHRAE Fundamentals 2017, chapter 1, equations 5 and 6 (Hyland and Wexler, 1983).
    """
    temps = np.asarray(temp_f, dtype=np.float64)
    rankine = temps + _RANKINE
    logarithm = np.log(rankine)
    over_ice = (
        -1.0214165e4 / rankine
        - 4.8932428
        + rankine * (-5.3765794e-3 + rankine * (1.9202377e-7 + rankine * 3.5575832e-10))
        + rankine**4 * -9.0344688e-14
        + 4.1635019 * logarithm
    )
    over_water = (
        -1.0440397e4 / rankine
        - 1.1294650e1
        + rankine * (-2.7022355e-2 + rankine * (1.2890360e-5 + rankine * -2.4780681e-9))
        + 6.5459673 * logarithm
    )
    exponent = np.where(temps <= TRIPLE_POINT_F, over_ice, over_water)
    pressure: Floats = _HPA_PER_PSI * np.exp(exponent)
    return pressure


def wet_bulb_f(
    temp_f: npt.ArrayLike, humidity_pct: npt.ArrayLike, pressure_hpa: npt.ArrayLike
) -> Floats:
    """Thermodynamic wet-bulb temperature [deg F].

    Solved by bisection between dew point and dry bulb on the humidity ratio [1]_.

    Parameters
    ----------
    temp_f
        Dry-bulb temperature [deg F].
    humidity_pct
        Relative humidity over water above freezing, over ice below [%].
    pressure_hpa
        Air pressure of the place, not reduced to sea level [hPa].

    Returns
    -------
    float or ndarray
        Wet bulb [deg F], broadcast, at most ``temp_f``; NaN where an input is NaN, where humidity
        is outside 0 to 100, and where pressure is not above 0.

    Notes
    -----
    Between an ice-covered and a wet bulb both readings near 32 F satisfy the equations for a
    range of dry air; which one is returned follows the bisection.

    References
    ----------
    .. [1] ASHRAE Fundamentals 2017, chapter 1, equations 33 and 35.

    Examples
    --------
    >>> round(float(wet_bulb_f(60.0, 50.0, 1013.25)), 1)
    50.2
    """
    temps, humidity, pressure = np.broadcast_arrays(
        *(np.asarray(x, dtype=np.float64) for x in (temp_f, humidity_pct, pressure_hpa))
    )
    possible = (humidity >= 0) & (humidity <= 100) & (pressure > 0)
    humidity = np.maximum(np.where(possible, humidity, np.nan), HUMIDITY_FLOOR_PCT)
    vapour = saturation_pressure_hpa(temps) * humidity / 100
    ratio = MASS_RATIO * vapour / (pressure - vapour)
    low, high = _dew_point_f(vapour), temps
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        too_wet = _ratio_at_wet_bulb(temps, middle, pressure) > ratio
        high = np.where(too_wet, middle, high)
        low = np.where(too_wet, low, middle)
    wet_bulb: Floats = np.minimum((low + high) / 2, temps)
    return wet_bulb


def delta_t_f(
    temp_f: npt.ArrayLike, humidity_pct: npt.ArrayLike, pressure_hpa: npt.ArrayLike
) -> Floats:
    """Delta T, dry bulb minus wet bulb: how fast droplets dry [F difference].

    Parameters and NaN rule as in `wet_bulb_f`.

    Returns
    -------
    float or ndarray
        Delta T [F difference], at least 0. 1 C of the usual Delta T chart is 1.8 F.
    """
    temps = np.asarray(temp_f, dtype=np.float64)
    delta: Floats = temps - wet_bulb_f(temps, humidity_pct, pressure_hpa)
    return delta


def _ratio_at_wet_bulb(temps: Floats, wet_bulb: Floats, pressure: Floats) -> Floats:
    saturated = saturation_pressure_hpa(wet_bulb)
    at_saturation = MASS_RATIO * saturated / (pressure - saturated)
    spread = temps - wet_bulb
    over_water = ((1093 - 0.556 * wet_bulb) * at_saturation - 0.240 * spread) / (
        1093 + 0.444 * temps - wet_bulb
    )
    over_ice = ((1220 - 0.04 * wet_bulb) * at_saturation - 0.240 * spread) / (
        1220 + 0.444 * temps - 0.48 * wet_bulb
    )
    ratio: Floats = np.where(wet_bulb >= 32, over_water, over_ice)
    return ratio


def _dew_point_f(vapour: Floats) -> Floats:
    """Temperature at which ``vapour`` [hPa] saturates, by Newton's method from Magnus' formula."""
    logarithm = np.log(vapour / 6.112)
    dew_point = 32 + 1.8 * 243.12 * logarithm / (17.62 - logarithm)
    step = 0.01
    for _ in range(4):
        here = np.log(saturation_pressure_hpa(dew_point))
        slope = (np.log(saturation_pressure_hpa(dew_point + step)) - here) / step
        dew_point = dew_point - (here - np.log(vapour)) / slope
    return dew_point
