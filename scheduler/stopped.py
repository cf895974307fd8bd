"""A morning that may call no field, because this machine's clock is wrong."""

from dataclasses import replace

from agronomy.hourly_forecast import HourlyForecast
from dispatch.report import MorningReport

#: What is told beside each field, in short; the whole of it is told once.
CLOCK_WRONG = "the clock of the computer that makes this is wrong"


def without_ages(forecast: HourlyForecast) -> HourlyForecast:
    """The forecast with nothing said of when it was issued: by a wrong clock no age is known."""
    rows = len(forecast.cell_ids)
    return replace(forecast, issued_utc=(None,) * rows, problem=(CLOCK_WRONG,) * rows)


def stopped(report: MorningReport, why: str) -> MorningReport:
    """The report, which says why nothing is called before anything else; "" for no reason."""
    if not why:
        return report
    return report.model_copy(update={"run": report.run.model_copy(update={"stop": why})})
