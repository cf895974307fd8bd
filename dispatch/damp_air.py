"""Dew on the leaves and cold air near the ground, hour by hour. No call rests on either."""

from dataclasses import dataclass

import numpy as np

from agronomy.dew import leaf_wet
from agronomy.inversion import inversion_risk
from agronomy.three_valued import NO, UNKNOWN, YES, Gate
from dispatch.outlook import Outlook, sun_of

_LETTER = {int(YES): "y", int(NO): "n", int(UNKNOWN): "?"}


@dataclass(frozen=True)
class DampAir:
    """One letter an hour: ``y`` yes, ``n`` no, ``?`` not known.

    ``leaf_wet`` where dew is likely on the leaves (rain is told elsewhere), ``inversion`` where
    one is to be assumed.
    """

    leaf_wet: str
    inversion: str


def damp_air(outlook: Outlook, row: int, first_h: int, span_h: int) -> DampAir:
    """Dew and inversions over the field in ``row`` for some hours of the outlook."""
    here = np.array([row])
    hours = slice(first_h, first_h + span_h)
    hourly = {name: values[here] for name, values in outlook.hourly.items()}
    sun = sun_of(outlook.sun, here)
    by_day = leaf_wet(hourly["temp_f"], hourly["humidity_pct"], night=False)
    by_night = leaf_wet(hourly["temp_f"], hourly["humidity_pct"], night=True)
    wet = np.where(sun.daylight == 1, by_day, by_night)
    wet = np.where(np.isnan(sun.daylight) & (by_day != by_night), UNKNOWN, wet)
    risk = inversion_risk(hourly["wind_mph"], hourly["sky_pct"], sun)
    return DampAir(_letters(wet[0, hours]), _letters(risk[0, hours]))


def _letters(gate: Gate) -> str:
    return "".join(_LETTER[int(one)] for one in gate)
