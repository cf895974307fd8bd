"""Every rule on one recorded season: the real morning's calls, rigs limited, what came after."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import YES
from config.farm_config import FarmConfig
from dispatch.outlook import Outlook
from dispatch.policy import HarvestCapacity
from dispatch.readiness import judge_maturity
from dispatch.season.rules import RULES_OF_OTHERS
from dispatch.season.run import OURS, Outcome
from dispatch.season.seen import last_start_s
from farm.records import Spray, Visit
from forecasts.errors import ForecastError
from scheduler.morning import farm_of, make_calls
from scheduler.morning_inputs import MorningInputs
from scheduler.past_season.issues import Issue
from scheduler.past_season.mornings import Morning, read_mornings
from scheduler.past_season.outcome import coverage, outcome_of
from scheduler.past_season.season import RecordedSeason, begin
from scheduler.past_season.truth import FIRST_DAY_H
from scheduler.season_records import SeasonRecords
from scheduler.watched import Watched

Whole = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Share of the fields that must be told of a freeze before the habit begins. Judgement.
HABIT_SHARE = 0.5


@dataclass(frozen=True, eq=False)
class TodayTold:
    """What the rules of others see of a morning; fields by their place among the registered."""

    may_go: Whole
    mature_since: Whole
    lot: Floats
    freeze_told: bool
    day_of_year: int
    outlook: Outlook

    def row(self, one: int) -> int:
        """Every field has its own row."""
        return one

    def spray_by_s(self, row: int) -> float:
        """Last start with a full window [s since 1970]."""
        return last_start_s(self.outlook, row)


def run_season(
    config: FarmConfig,
    issues: Sequence[Issue],
    visits_by: Callable[[datetime], tuple[Visit, ...]],
    watched: Sequence[Watched],
    seed: int,
) -> tuple[tuple[Outcome, ...], tuple[str, ...]]:
    """How each rule did, and what is to be said of the issues.

    Parameters
    ----------
    visits_by
        The visits of the season known at a moment.
    watched
        What was observed, none where issues alone tell what came.
    seed
        Of the random order.

    Raises
    ------
    ForecastError
        No issue tells anything of any field.
    """
    mornings, notes = read_mornings(config, issues, visits_by)
    if not mornings:
        raise ForecastError(
            "no issue of the folder tells anything of a registered field; are they of this farm?",
            False,
        )
    season = begin(config, mornings, watched, seed)
    season.notes += notes
    for day, one in enumerate(mornings):
        later = mornings[day + 1].now if day + 1 < len(mornings) else None
        _one_day(season, one, day, later)
    season.notes += coverage(season, mornings)
    return tuple(outcome_of(season, rule) for rule in season.sprayed_h), tuple(season.notes)


def _one_day(season: RecordedSeason, one: Morning, day: int, later: datetime | None) -> None:
    fields, at = season.config.fields, season.weather.index(one.now)
    maturity = judge_maturity(one.visits, fields, season.config.rules, one.now)
    mature = np.array([maturity[each.id].figures.state == "mature" for each in fields])
    season.mature_since = np.where(
        mature, np.where(season.mature_since < 0, day, season.mature_since), -1
    )
    season.ever_mature_h = np.where(
        mature, np.minimum(season.ever_mature_h, at), season.ever_mature_h
    )
    season.freeze_told |= _tells_of_freeze(season.config, one.outlook)
    can_work, starts = _hours_of(season, one, at, later)
    season.usable_h += float(can_work.any(axis=0).sum()) * season.rigs_at_work
    for rule, sprayed in season.sprayed_h.items():
        open_ = (sprayed < 0) & (season.killed_h > at)
        if rule == OURS:
            order = [place for place in _our_order(season, one) if open_[place]]
        else:
            order = RULES_OF_OTHERS[rule](_told(season, one, np.nonzero(open_ & mature)[0]))
        begun = season.fleets[rule].spray(
            order, season.hours_needed, dict(enumerate(starts)), dict(enumerate(can_work))
        )
        for place, hour in begun:
            sprayed[place] = at + hour


def _our_order(season: RecordedSeason, one: Morning) -> list[int]:
    """Fields the real morning calls spray or short, in its order."""
    sprays = {}
    for place, hour in enumerate(season.sprayed_h[OURS].tolist()):
        if hour >= 0:
            sprays[season.config.fields[place].id] = _spray(season, place, hour)
    records = SeasonRecords(one.visits, sprays, (), {}, {})
    # No other rule looks at what the harvest has room for, and nothing is picked here.
    farm = replace(farm_of(season.config, records), harvest=HarvestCapacity())
    fetched = one.fetched
    used = MorningInputs(farm, one.visits, fetched.forecast, fetched.row_of, one.now, late=False)
    report, _ = make_calls(used)
    place_of = {each.id: place for place, each in enumerate(season.config.fields)}
    return [place_of[each.field.id] for each in report.to_act_on()]


def _spray(season: RecordedSeason, place: int, hour: int) -> Spray:
    of = season.config.fields[place]
    return Spray(
        uuid=uuid5(NAMESPACE_URL, f"{of.id}/{hour}"),
        field_id=of.id,
        sprayed_utc=season.weather.start_utc + timedelta(hours=hour),
        treatment_id=of.treatment_id,
    )


def _told(season: RecordedSeason, one: Morning, may_go: Whole) -> TodayTold:
    today = one.now.astimezone(ZoneInfo(season.config.time_zone))
    return TodayTold(
        may_go=may_go,
        mature_since=season.mature_since,
        lot=season.lot,
        freeze_told=season.freeze_told,
        day_of_year=today.timetuple().tm_yday,
        outlook=one.outlook,
    )


def _tells_of_freeze(config: FarmConfig, outlook: Outlook) -> bool:
    """Whether a freeze is in the forecast of half the fields."""
    line = np.array([[config.rules[one.id].gates.freeze_f] for one in config.fields])
    return bool((outlook.nights.low_f <= line).any(axis=1).mean() >= HABIT_SHARE)


def _hours_of(
    season: RecordedSeason, one: Morning, at: int, later: datetime | None
) -> tuple[Flags, Flags]:
    """Hours of today in which each field can be worked, and begun, shape (fields, 24)."""
    hour = np.arange(FIRST_DAY_H)
    end = FIRST_DAY_H if later is None else season.weather.index(later) - at
    alive = (hour < end) & (at + hour < season.killed_h[:, None])
    can_work = (one.outlook.workable[:, :FIRST_DAY_H] == YES) & alive
    return can_work, can_work & (one.outlook.dry[:, :FIRST_DAY_H] == YES)
