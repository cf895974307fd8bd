"""Hours a sprayer may work in, and the first reason where it may not."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from agronomy.moist_air import SEA_LEVEL_HPA, delta_t_f
from agronomy.sun import SunHours
from agronomy.three_valued import NO, UNKNOWN, Gate, all_of, at_least, at_most, gate
from agronomy.thresholds import SprayGates
from agronomy.wet_hours import reaches

#: Decimals of a forecast value that count: 10 mph come back from km/h as 10.0000004.
DECIMALS = 3


@dataclass(frozen=True, eq=False)
class Workable:
    """Whether each hour can be worked, and the parts of that verdict.

    ``gate`` (cells, hours) is three-valued and all of ``parts``, which are keyed by the plain
    words for what is wrong when they say no, in the order reasons are told.
    """

    gate: Gate
    parts: dict[str, Gate]


def workable_hours(
    *,
    temp_f: npt.ArrayLike,
    humidity_pct: npt.ArrayLike,
    pressure_hpa: npt.ArrayLike,
    wind_mph: npt.ArrayLike,
    gust_mph: npt.ArrayLike,
    rain_in: npt.ArrayLike,
    sun: SunHours,
    gates: SprayGates,
) -> Workable:
    """Whether a sprayer may work in each hour, as far as the forecast knows.

    Parameters
    ----------
    temp_f, humidity_pct, wind_mph, gust_mph, rain_in
        Hourly forecast [deg F, %, mph, mph, inch], shape (cells, hours).
    pressure_hpa
        Air pressure of the place [hPa], scalar or (cells, 1). NaN is taken as sea level.
    sun
        The same cells and hours as the sun sees them.
    gates
        Limits.

    Returns
    -------
    Workable
        A NaN makes its own part unknown and leaves the others standing.

    Notes
    -----
    Sea level reads Delta T too low for a higher place. At 900 hPa it is 0.1 to 0.3 F too low at the
    damp limit of 3.6 F and 0.4 to 1.3 F too low at the dry limit of 18 F, so give the pressure
    wherever the elevation is known.
    """
    pressure = np.asarray(pressure_hpa, dtype=np.float64)
    pressure = np.where(np.isnan(pressure), SEA_LEVEL_HPA, pressure)
    rain = np.asarray(rain_in, dtype=np.float64)
    wind = _rounded(wind_mph)
    dryness = _rounded(delta_t_f(temp_f, humidity_pct, pressure))
    parts = {
        "daylight": gate(sun.daylight == 1, ~np.isnan(sun.daylight)),
        "inversion risk near sunrise or sunset": all_of(
            at_least(sun.after_sunrise_h, gates.after_sunrise_h),
            at_least(sun.before_sunset_h, gates.before_sunset_h),
        ),
        "rain": gate(~reaches(rain, gates.rain_threshold_in), ~np.isnan(rain)),
        "wind too strong": at_most(wind, gates.wind_max_mph),
        "wind too light": at_least(wind, gates.wind_min_mph),
        "gusts": at_most(_rounded(gust_mph), gates.gust_max_mph),
        "air too dry": at_most(dryness, gates.delta_t_max_f),
        "air too damp": at_least(dryness, gates.delta_t_min_f),
    }
    if gates.start_temp_min_f > 0:
        parts["too cold to start"] = at_least(_rounded(temp_f), gates.start_temp_min_f)
    return Workable(gate=all_of(*parts.values()), parts=parts)


def first_reason(workable: Workable) -> npt.NDArray[np.object_]:
    """The first reason against working, in plain words, for each hour.

    Parameters
    ----------
    workable
        Verdict and parts, shape (cells, hours).

    Returns
    -------
    ndarray of str
        Name of the first part that says no; where none does, ``not known: `` and the first part
        that is unknown; empty where the hour can be worked.
    """
    reason = np.full(workable.gate.shape, "", dtype=object)
    told = np.zeros(reason.shape, dtype=bool)
    for answer, prefix in ((NO, ""), (UNKNOWN, "not known: ")):
        for name, part in workable.parts.items():
            here = np.broadcast_to(part == answer, reason.shape) & ~told
            reason[here] = prefix + name
            told = told | here
    return reason


def _rounded(values: npt.ArrayLike) -> npt.NDArray[np.float64]:
    rounded: npt.NDArray[np.float64] = np.asarray(values, dtype=np.float64).round(DECIMALS)
    return rounded
