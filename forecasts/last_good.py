"""Whether a new answer may take the place of the last good one, and how to say so."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from agronomy.hourly_forecast import CellForecast
from forecasts.plausible import why_not_plausible

#: Largest change of the middle temperature over the same hours that is believed [F]; more points
#: to a mix-up of units or of cells.
MOST_SHIFT_F = 20.0

#: Oldest last answer a new one is measured against [h]; beyond it nothing of it is shown either.
COMPARED_MAX_AGE_H = 72


def why_not_usable(new: CellForecast, last: CellForecast | None) -> str:
    """Why a new answer is refused, in plain words, or "" where it is good.

    An answer that is older than the last one, does not tell its age while the last one does, has
    no temperature at all, cannot be weather, or lies far from the last one over the same hours,
    is refused.
    """
    return _holds_nothing(new) or _no_step_forward(new, last) or _not_believed(new, last)


def _holds_nothing(new: CellForecast) -> str:
    if np.isnan(new.hourly["temp_f"]).all():
        reasons = "; ".join(new.rejected[:2])
        return f"the new answer holds no temperature{f' ({reasons})' if reasons else ''}"
    return ""


def _no_step_forward(new: CellForecast, last: CellForecast | None) -> str:
    if last is None or last.issued_utc is None:
        return ""
    if new.issued_utc is None:
        return "the new answer does not say when it was issued"
    if new.issued_utc < last.issued_utc:
        return f"the new answer is an older one, issued {in_words(new.issued_utc, None)}"
    return ""


def _not_believed(new: CellForecast, last: CellForecast | None) -> str:
    shift_f = None if last is None or _long_ago(new, last) else median_shift_f(new, last)
    if shift_f is not None and shift_f > MOST_SHIFT_F:
        return f"the new answer is {shift_f:.0f} F away from the last over the same hours"
    return why_not_plausible(new, alone=shift_f is None)


def _long_ago(new: CellForecast, last: CellForecast) -> bool:
    """Whether the last answer was issued too long before the new one to stand in its way."""
    if new.issued_utc is None or last.issued_utc is None:
        return True
    return new.issued_utc - last.issued_utc > timedelta(hours=COMPARED_MAX_AGE_H)


def median_shift_f(new: CellForecast, last: CellForecast) -> float | None:
    """Change of the median temperature over the hours both know [F], None if there are none."""
    ahead = round((new.start_utc - last.start_utc).total_seconds() / 3600)
    new_f, last_f = new.hourly["temp_f"], last.hourly["temp_f"]
    new_f, last_f = new_f[max(0, -ahead) :], last_f[max(0, ahead) :]
    hours = min(len(new_f), len(last_f))
    new_f, last_f = new_f[:hours], last_f[:hours]
    both = ~(np.isnan(new_f) | np.isnan(last_f))
    if not both.any():
        return None
    return float(abs(np.median(new_f[both]) - np.median(last_f[both])))


def no_new_forecast(last: CellForecast | None, time_zone: str | None, why: str) -> str:
    """What stands beside a field whose cell has no new answer."""
    if last is None:
        return why
    if last.issued_utc is None:
        return f"no new forecast: {why}"
    return f"no new forecast since {in_words(last.issued_utc, time_zone)}: {why}"


def in_words(moment: datetime, time_zone: str | None) -> str:
    """A moment as people say it: "Tue 6 Oct 3:10 am", in UTC and saying so without a zone."""
    try:
        local, mark = moment.astimezone(ZoneInfo(time_zone or "")), ""
    except (ValueError, OSError, LookupError):
        local, mark = moment.astimezone(UTC), " UTC"
    minutes = f":{local.minute:02d}" if local.minute else ""
    clock = f"{local.hour % 12 or 12}{minutes} {'am' if local.hour < 12 else 'pm'}"
    return f"{local:%a} {local.day} {local:%b} {clock}{mark}"
