"""Acres a rig covers in an hour."""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: mph x ft of one acre an hour: 43560 ft2 / 5280 ft. Kentucky extension AEN-73, 1991 (S65).
MPH_FT_PER_ACRE_HOUR = 8.25


def acres_per_hour(
    speed_mph: npt.ArrayLike, swath_ft: npt.ArrayLike, efficiency_frac: npt.ArrayLike
) -> Floats:
    """Effective field capacity [acres/h].

    Parameters
    ----------
    speed_mph
        Travel speed [mph].
    swath_ft
        Working width [ft].
    efficiency_frac
        Share of field time spent working at full width [0-1].

    Returns
    -------
    float or ndarray
        Capacity [acres/h]; NaN where an input is NaN.

    Raises
    ------
    ValueError
        Where speed or width is negative, or the efficiency is outside 0 to 1.

    References
    ----------
    Kentucky extension AEN-73, 1991; checked with Iowa State extension A3-24.

    Examples
    --------
    >>> round(float(acres_per_hour(12.0, 60.0, 0.68)), 1)
    59.3
    """
    speed = _checked("speed_mph", speed_mph, 0, np.inf)
    swath = _checked("swath_ft", swath_ft, 0, np.inf)
    efficiency = _checked("efficiency_frac", efficiency_frac, 0, 1)
    capacity: Floats = speed * swath * efficiency / MPH_FT_PER_ACRE_HOUR
    return capacity


def cycle_acres_per_hour(
    speed_mph: npt.ArrayLike,
    swath_ft: npt.ArrayLike,
    turn_share_frac: npt.ArrayLike,
    tank_gal: npt.ArrayLike,
    gallons_per_acre: npt.ArrayLike,
    refill_min: npt.ArrayLike,
) -> Floats:
    """Acres an hour over whole tank cycles: spray a tank out, refill, again [acres/h].

    Parameters
    ----------
    speed_mph, swath_ft
        As in `acres_per_hour`.
    turn_share_frac
        Share of the driving time spent turning [0-1].
    tank_gal
        Tank volume [gal].
    gallons_per_acre
        Spray volume [gal/acre].
    refill_min
        Minutes standing for a refill, mixing and driving to the tender included [min].

    Returns
    -------
    float or ndarray
        Capacity [acres/h], below `acres_per_hour` without refills; NaN where an input is NaN.

    Raises
    ------
    ValueError
        Where an input is negative, a share above 1, or tank or volume is 0.

    Notes
    -----
    Loading time moves the result more than speed does (Western Producer, June 2015).

    Examples
    --------
    >>> round(float(cycle_acres_per_hour(14.0, 90.0, 0.15, 800.0, 10.0, 20.0)))
    84
    """
    turning = _checked("turn_share_frac", turn_share_frac, 0, 1)
    driving = acres_per_hour(speed_mph, swath_ft, 1 - turning)
    tank = _checked("tank_gal", tank_gal, 0, np.inf, above=True)
    volume = _checked("gallons_per_acre", gallons_per_acre, 0, np.inf, above=True)
    standing_h = _checked("refill_min", refill_min, 0, np.inf) / 60
    tank_acres = tank / volume
    capacity: Floats = driving * tank_acres / (tank_acres + driving * standing_h)
    return capacity


def _checked(
    name: str, value: npt.ArrayLike, least: float, most: float, above: bool = False
) -> Floats:
    values = np.asarray(value, dtype=np.float64)
    outside = (values < least) | (values > most) | (above & (values == least))
    if outside.any():
        wanted = f"more than {least:g}" if above else f"at least {least:g}"
        wanted += "" if np.isinf(most) else f" and at most {most:g}"
        raise ValueError(
            f"{name}: got {values[outside].flat[0]:g}, wanted {wanted}; check the rig's settings"
        )
    return values
