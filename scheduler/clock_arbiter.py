"""Whether this machine's clock is wrong, by the clocks of others. S13 of the fault list.

A clock that stands behind makes old forecasts look fresh, and one that stands ahead makes fresh
ones look old; both put windows at the wrong hours. What a clock says can only be held against
other clocks, never against how long this machine has been running: that stops while it sleeps.

Nobody is believed alone. One server with a wrong clock must not stop a morning, so it takes two
witnesses that agree, and more witnesses than hosts that say otherwise:

- each host that answered is one witness, by the median of its answers, however many they are;
- what forecasts say of their own issue is another, made by other machines than those that send
  it. It cannot tell the time, but it tells when ours is impossible: issued in our future, or so
  long ago that the service would no longer send it, while by the hosts' time it is neither.

So a farm that asks one service only is stopped where its clock is wrong by about a day, or behind
an issue; where that one host alone disagrees, the morning goes on and the operator is told.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median
from typing import Literal

from forecasts.times_told import TimesTold, ToldTime

#: How far our clock may be from others'. Judgement, the tolerance of issue times too; answers
#: take seconds to come.
TOLERANCE = timedelta(minutes=10)
#: Age past which the US service no longer sends a forecast: "Forecast Grid Expired", seen at
#: about a day (weather-gov/api issues 29 and 30).
NOT_SENT_AFTER = timedelta(hours=24)
#: Witnesses it takes. Definition: one is nobody.
WITNESSES = 2

Verdict = Literal["not heard", "agrees", "doubted", "wrong"]


@dataclass(frozen=True)
class ClockJudged:
    """What others say of our clock.

    "doubted" where some say it is wrong, but too few. ``off`` is how far it stands ahead of them,
    below 0 where it is behind.
    """

    verdict: Verdict
    off: timedelta = timedelta()

    @property
    def stop(self) -> str:
        """What everybody is told where the clock is wrong, else ""."""
        if self.verdict != "wrong":
            return ""
        return (
            f"STOP: the clock of the computer that makes this is {self._how_far}. How old its "
            "forecasts are is not known, so no field is called until it is set."
        )

    @property
    def alarm(self) -> str:
        """What the operator is told where the clock is wrong or doubted, else ""."""
        if self.verdict == "wrong":
            return f"this machine's clock is {self._how_far}: no field is called; set the clock"
        if self.verdict == "doubted":
            return (
                f"this machine's clock is {self._how_far}, which nobody else confirms: calls were "
                "made as if it were right; look at it"
            )
        return ""

    @property
    def _how_far(self) -> str:
        which = "ahead of" if self.off > timedelta() else "behind"
        return f"{in_words(abs(self.off))} {which} the weather service's"


#: Where nobody told the time, or nobody listened.
NOT_HEARD = ClockJudged("not heard")


def judge_clock(heard: TimesTold | None, issues_utc: Iterable[datetime | None] = ()) -> ClockJudged:
    """What others say of our clock.

    Parameters
    ----------
    heard
        What was heard of the time, None where nobody listened.
    issues_utc
        When the forecasts at hand were issued, beside those heard of.
    """
    offs = _off_by_host(heard.told) if heard is not None else []
    if heard is None or not offs:
        return NOT_HEARD
    agreeing = _most_that_agree(offs)
    off = _middle(agreeing)
    if abs(off) <= TOLERANCE:
        return ClockJudged("agrees", off)
    ours = max(one.ours_utc for one in heard.told)
    issues = [one for one in (heard.newest_issue_utc, *issues_utc) if one is not None]
    witnesses = len(agreeing) + _confirmed(off, ours, max(issues, default=None))
    enough = witnesses >= WITNESSES and witnesses > len(offs) - len(agreeing)
    return ClockJudged("wrong" if enough else "doubted", off)


def in_words(length: timedelta) -> str:
    """A length of time as people say it: "25 hours", "40 minutes"."""
    hours = length / timedelta(hours=1)
    return f"{hours:.0f} hours" if hours >= 1.5 else f"{length / timedelta(minutes=1):.0f} minutes"


def _off_by_host(told: Iterable[ToldTime]) -> list[timedelta]:
    by_host: dict[str, list[timedelta]] = {}
    for one in told:
        by_host.setdefault(one.host, []).append(one.ours_utc - one.theirs_utc)
    return [_middle(offs) for offs in by_host.values()]


def _middle(lengths: list[timedelta]) -> timedelta:
    return timedelta(seconds=median(one.total_seconds() for one in lengths))


def _most_that_agree(offs: list[timedelta]) -> list[timedelta]:
    """The largest set of hosts that agree with one of them; of equal ones that nearest to us."""
    sets = [[one for one in offs if abs(one - middle) <= TOLERANCE] for middle in offs]
    return max(sets, key=lambda agreeing: (len(agreeing), -abs(_middle(agreeing))))


def _confirmed(off: timedelta, ours_utc: datetime, issued_utc: datetime | None) -> bool:
    """Whether an issue is impossible by our clock and possible by one that ours is ``off``."""
    if issued_utc is None:
        return False

    def possible(now: datetime) -> bool:
        return -TOLERANCE <= now - issued_utc <= NOT_SENT_AFTER

    return possible(ours_utc - off) and not possible(ours_utc)
