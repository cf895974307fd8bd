"""How often a promised window held: no freeze in its nights, no rain in its dry hours."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from agronomy.survival import READING_HALF_F
from dispatch.report import Call, FieldCall, MorningReport, Window
from forecasts.matched import WatchedPlace
from forecasts.observed import Observed

#: Rain in an hour that breaks a promise [inch]: the smallest measurable amount.
WET_IN = 0.01


@dataclass(frozen=True)
class Promise:
    """Windows that promised one thing: how many held, broke, are not over, and are not known.

    ``mornings`` counts the mornings whose promises are known.
    """

    held: int = 0
    broken: int = 0
    not_over: int = 0
    not_known: int = 0
    mornings: int = 0

    @property
    def known(self) -> int:
        """How many are known to have held or broken."""
        return self.held + self.broken


@dataclass(frozen=True)
class WindowScores:
    """All full windows of the mornings sent: ``nights`` without a freeze, ``dry`` hours."""

    windows: int = 0
    nights: Promise = Promise()
    dry: Promise = Promise()


@dataclass(frozen=True)
class Rules:
    """What a full window of a field promises: nights above a line [F], and where it lies.

    ``colder_f`` is how much colder the field's nights are than where they were observed [F].
    """

    place: WatchedPlace
    observed: Observed
    freeze_f: float
    freeze_free_days: int
    colder_f: float = 0.0


def window_scores(
    reports: Iterable[MorningReport], rules_of: dict[str, Rules], now: datetime
) -> WindowScores:
    """Score the full windows of fields called to spray.

    A window promises the nights after its best start hour without a freeze, and the treatment's
    rain-free hours after that hour without rain. Only what is wholly observed counts: a promise
    with one night unknown might have broken in that night.

    Parameters
    ----------
    reports
        Mornings as they were sent, one a date.
    rules_of
        The fields that were watched.
    now
        Until when there can be observations.
    """
    nights, dry, windows = _Count(), _Count(), 0
    for report in reports:
        for one in report.with_call(Call.SPRAY):
            rules = rules_of.get(one.field.id)
            for window in one.windows if rules else ():
                if not window.full or rules is None:
                    continue
                windows += 1
                nights.take(report.run.local_date, *_nights(window, rules, now))
                dry.take(report.run.local_date, *_dry(window, one, rules, now))
    return WindowScores(windows, nights.promise(), dry.promise())


def _nights(window: Window, rules: Rules, now: datetime) -> tuple[bool, bool | None]:
    """Whether its nights are over, and whether none of them froze; None not known."""
    start = window.best_utc.astimezone(rules.place.zone)
    mornings = [
        # Nine in the morning is past sunrise everywhere cotton grows.
        datetime.combine(
            start.date() + timedelta(days=day), datetime.min.time().replace(hour=9), start.tzinfo
        )
        for day in range(1, rules.freeze_free_days + 1)
    ]
    if mornings[-1] > now:
        return False, None
    lows = [rules.observed.low_f(one - timedelta(hours=24), one) for one in mornings]
    lows[0] = rules.observed.low_f(start, mornings[0])
    if any(low != low for low in lows):
        return True, None
    return True, min(lows) - rules.colder_f >= rules.freeze_f + READING_HALF_F


def _dry(window: Window, one: FieldCall, rules: Rules, now: datetime) -> tuple[bool, bool | None]:
    end = window.best_utc + timedelta(hours=1 + one.rain_free_needed_h)
    if end > now:
        return False, None
    rain = rules.observed.rain_in(window.best_utc, end)
    return True, None if rain != rain else rain < WET_IN


class _Count:
    def __init__(self) -> None:
        self._told: Promise = Promise()
        self._mornings: set[date] = set()

    def take(self, morning: date, over: bool, held: bool | None) -> None:
        name = "not_over" if not over else "not_known"
        if over and held is not None:
            name = "held" if held else "broken"
            self._mornings.add(morning)
        self._told = replace(self._told, **{name: getattr(self._told, name) + 1})

    def promise(self) -> Promise:
        return replace(self._told, mornings=len(self._mornings))
