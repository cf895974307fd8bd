"""Plain words for moments, ages and amounts. ASCII only, always in a named time zone."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(on: date) -> str:
    """A date with its weekday: ``Tue 6 Oct``."""
    return f"{WEEKDAYS[on.weekday()]} {on.day} {MONTHS[on.month - 1]}"


def day_range(first: date, last: date) -> str:
    """A range of dates: ``7-12 Oct`` or ``29 Sep-3 Oct``."""
    if first == last:
        return f"{first.day} {MONTHS[first.month - 1]}"
    month = "" if first.month == last.month else f" {MONTHS[first.month - 1]}"
    return f"{first.day}{month}-{last.day} {MONTHS[last.month - 1]}"


@dataclass(frozen=True)
class LocalClock:
    """Moments told in one place's time, as of one morning.

    ``zone`` is where the field (or the farm) lies, ``farm_zone`` what the reader's own clock
    shows, ``today`` the date of the digest. Times carry the zone's letters where the two clocks
    differ, and in the hour that comes twice when the clock goes back.
    """

    zone_name: str
    farm_zone_name: str
    today: date

    @cached_property
    def zone(self) -> ZoneInfo:
        """The zone the times are told in."""
        return ZoneInfo(self.zone_name)

    @cached_property
    def farm_zone(self) -> ZoneInfo:
        """The zone the reader is taken to live in."""
        return ZoneInfo(self.farm_zone_name)

    def local(self, moment_utc: datetime) -> datetime:
        """The moment on this clock."""
        return moment_utc.astimezone(self.zone)

    def day_name(self, on: date) -> str:
        """``today``, ``tomorrow``, ``Thu`` within six days either way, else ``Tue 13 Oct``."""
        ahead = (on - self.today).days
        if ahead in (0, 1):
            return ("today", "tomorrow")[ahead]
        return WEEKDAYS[on.weekday()] if abs(ahead) <= 6 else day(on)

    def hour(self, moment_utc: datetime) -> str:
        """The time of day: ``2 pm``, ``2:30 pm``, ``noon``; midnight is ``12 am``."""
        local = self.local(moment_utc)
        letters = self._letters(moment_utc)
        if (local.hour, local.minute) == (12, 0):
            return f"noon{letters}"
        minutes = f":{local.minute:02d}" if local.minute else ""
        half = "am" if local.hour < 12 else "pm"
        return f"{local.hour % 12 or 12}{minutes} {half}{letters}"

    def moment(self, moment_utc: datetime) -> str:
        """Day and time: ``Thu 2 pm``; midnight names both days, ``midnight Sat-Sun``."""
        local = self.local(moment_utc)
        if (local.hour, local.minute) == (0, 0):
            before = local.date() - timedelta(days=1)
            names = f"{WEEKDAYS[before.weekday()]}-{WEEKDAYS[local.weekday()]}"
            far = abs((local.date() - self.today).days) > 6
            dated = f" {local.day} {MONTHS[local.month - 1]}" if far else ""
            return f"midnight {names}{dated}{self._letters(moment_utc)}"
        return f"{self.day_name(local.date())} {self.hour(moment_utc)}"

    def weekday_moment(self, moment_utc: datetime) -> str:
        """As `moment`, but with the weekday even today: a deadline is read days later too."""
        local = self.local(moment_utc)
        if abs((local.date() - self.today).days) > 1 or (local.hour, local.minute) == (0, 0):
            return self.moment(moment_utc)
        return f"{WEEKDAYS[local.weekday()]} {self.hour(moment_utc)}"

    def span(self, start_utc: datetime, end_utc: datetime) -> str:
        """A run of hours: ``today 10 am-5 pm``, or ``Thu 4 pm to Fri 2 am``."""
        first, last = self.local(start_utc), self.local(end_utc)
        if first.date() != last.date():
            return f"{self.moment(start_utc)} to {self.moment(end_utc)}"
        return f"{self.day_name(first.date())} {self.hour(start_utc)}-{self.hour(end_utc)}"

    def _letters(self, moment_utc: datetime) -> str:
        local = self.local(moment_utc)
        twice = local.replace(fold=0).utcoffset() != local.replace(fold=1).utcoffset()
        elsewhere = local.utcoffset() != moment_utc.astimezone(self.farm_zone).utcoffset()
        return f" {local.tzname()}" if twice or elsewhere else ""


def age(hours_h: float) -> str:
    """An age: ``40 min old``, ``3 h old``, ``3 days old``."""
    if hours_h < 1:
        return f"{max(1, round(hours_h * 60))} min old"
    if hours_h < 48:
        return f"{round(hours_h)} h old"
    return f"{round(hours_h / 24)} days old"


def temp(value_f: float) -> str:
    """A temperature: ``28F``. Beside 32 and 28 a tenth is kept, since they decide things."""
    nearest = round(value_f)
    if nearest in (28, 32) and abs(value_f - nearest) >= 0.05:
        return f"{value_f:.1f}F"
    return f"{nearest}F"


def amount(value: float) -> str:
    """A count with one decimal below ten where it matters: ``8.4``, ``118``, ``3``."""
    shown = f"{value:.1f}" if abs(value) < 9.95 else f"{value:.0f}"
    return shown.removesuffix(".0")


def plural(count: int, word: str) -> str:
    """A count with its noun: ``1 field``, ``4 fields``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def chance(value_pct: float) -> str:
    """A chance in words that do not claim certainty: ``8 in 100``, ``under 1 in 100``."""
    nearest = round(value_pct)
    if nearest < 1:
        return "under 1 in 100"
    return "over 99 in 100" if nearest > 99 else f"{nearest} in 100"


def chance_range(low_pct: float, high_pct: float) -> str:
    """Chances from several fields: ``8 to 40 in 100``, or one where they are the same."""
    low, high = chance(low_pct), chance(high_pct)
    return low if low == high else f"{low.removesuffix(' in 100')} to {high}"
