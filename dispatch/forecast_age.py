"""Whose forecast a field has, and how old it is, counted from the provider's issue time."""

from datetime import datetime, timedelta
from typing import Literal

from agronomy.hourly_forecast import HourlyForecast
from dispatch.policy import DispatchPolicy
from dispatch.report import ForecastFigures


def forecast_figures(
    forecast: HourlyForecast, row: int, now: datetime, policy: DispatchPolicy
) -> ForecastFigures:
    """Source and age of a cell's forecast, the age from the provider's issue time."""
    issued = forecast.issued_utc[row]
    age_h = None if issued is None else max(0.0, (now - issued) / timedelta(hours=1))
    return ForecastFigures(
        source=forecast.source[row],
        cell_id=forecast.cell_ids[row],
        issued_utc=issued,
        age_h=None if age_h is None else round(age_h, 2),
        age_mark=_age_mark(age_h, policy),
        problem=forecast.problem[row],
        rejected=forecast.rejected[row] if forecast.rejected else (),
    )


def _age_mark(
    age_h: float | None, policy: DispatchPolicy
) -> Literal["fresh", "ageing", "old", "very_old", "none"]:
    if age_h is None:
        return "none"
    if age_h > policy.age_no_numbers_h:
        return "very_old"
    if age_h > policy.age_no_spray_h:
        return "old"
    return "ageing" if age_h >= policy.age_badge_h else "fresh"
