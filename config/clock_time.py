"""Times of day and days of the year as people write them in the configuration."""

import re
from datetime import date, time
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator

#: A year that is not a leap year, to count days in.
_PLAIN_YEAR = 2025


def clock_time(value: object) -> time:
    """A time of day from "06:00", "6:00" or 06:00:00.

    Raises
    ------
    ValueError
        Anything else, seconds other than zero included.
    """
    found = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)(?::00)?", str(value).strip())
    if isinstance(value, (bool, int, float)) or not found:
        got = f'"{value}"' if isinstance(value, str) else str(value)
        raise ValueError(
            f"got {got[:40]}, wanted hours and minutes of a 24-hour clock in quotes; "
            'write it as "06:00"'
        )
    return time(int(found[1]), int(found[2]))


def day_of_year(month_day: str) -> int:
    """Day of a year that is not a leap year, from "10-28".

    Raises
    ------
    ValueError
        Not a month and a day of the calendar.
    """
    found = re.fullmatch(r"(\d{1,2})-(\d{1,2})", month_day.strip())
    wrong = f'got "{month_day[:40]}", wanted month and day; write 28 October as "10-28"'
    if not found:
        raise ValueError(wrong)
    try:
        return date(_PLAIN_YEAR, int(found[1]), int(found[2])).timetuple().tm_yday
    except ValueError:
        raise ValueError(wrong) from None


def autumn_day(month_day: str) -> str:
    """``month_day`` unchanged, if it is a day a first freeze can fall on.

    Raises
    ------
    ValueError
        Not a day from 8 August to 31 December.
    """
    if day_of_year(month_day) < day_of_year("08-08"):
        raise ValueError(
            f'got "{month_day[:40]}", wanted a day from "08-08" to "12-31"; '
            "is it the last freeze of spring, or day and month the wrong way round?"
        )
    return month_day


ClockTime = Annotated[time, BeforeValidator(clock_time)]
AutumnDay = Annotated[str, AfterValidator(autumn_day)]
