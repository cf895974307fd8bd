"""When another source stands in for the one that leads, and how a field is told of it.

It stands in for a whole cell, never for some of its hours: each call is judged by one source.
"""

from datetime import datetime, timedelta

import numpy as np

from agronomy.hourly_forecast import CellForecast
from forecasts.cell_answers import Found
from forecasts.last_good import COMPARED_MAX_AGE_H, in_words

#: Temperature that counts as a freeze [F]. Definition.
FREEZE_F = 32.0


def wants_stand_in(found: Found, after_h: float, now: datetime) -> bool:
    """Whether what the leader told is missing, of unknown age, or older than ``after_h`` [h]."""
    told = found.forecast
    if told is None or told.issued_utc is None:
        return True
    return now - told.issued_utc > timedelta(hours=after_h)


def better(lead: Found, other: Found, now: datetime) -> Found:
    """What stands for a field: the leader's answer, or the other's where that is newer.

    The other's tells why it stands there, and what freeze the leader's last answer showed: what
    is old may keep a freeze warning, and an answer of somebody else does not lift it.
    """
    if other.forecast is None:
        both = "; ".join(one for one in (lead.problem, f"nor in its place: {other.problem}") if one)
        return Found(lead.cell_id, lead.forecast, both)
    if lead.forecast is not None and not _newer(other.forecast, lead.forecast):
        return lead
    why = lead.problem or "the forecast that leads is old"
    parts = (why, _freeze_shown(lead.forecast, now), f"in its place: {other.forecast.source}")
    words = "; ".join(one for one in (*parts, other.problem) if one)
    return Found(other.cell_id, other.forecast, words)


def _newer(one: CellForecast, other: CellForecast) -> bool:
    if one.issued_utc is None:
        return False
    return other.issued_utc is None or one.issued_utc > other.issued_utc


def _freeze_shown(last: CellForecast | None, now: datetime) -> str:
    """The coldest hour to come of an answer, where it is a freeze and not too old to be told."""
    if last is None or last.issued_utc is None:
        return ""
    if now - last.issued_utc > timedelta(hours=COMPARED_MAX_AGE_H):
        return ""
    past = max(0, (now - last.start_utc) // timedelta(hours=1))
    cold_f = np.fmin(last.hourly["temp_f"], last.hourly["window_low_f"])[past:]
    if not (cold_f <= FREEZE_F).any():
        return ""
    at = past + int(np.nanargmin(cold_f))
    when = in_words(last.start_utc + timedelta(hours=at), None)
    return f"it showed {np.nanmin(cold_f):.0f}F near {when}"
