"""Archived forecasts scored against what was observed, source by source."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from agronomy.forecast_scores import ErrorScores, OddsScores, error_scores, odds_scores
from agronomy.own_low_errors import BlendedLead, blended_low_errors
from agronomy.survival import READING_HALF_F, chance_alive
from dispatch.own_error_figures import OwnErrorFigures
from dispatch.policy import DispatchPolicy
from forecasts.matched import Matched, Pairs
from scheduler.promised_windows import WindowScores
from scheduler.watched import Watched

Floats = npt.NDArray[np.float64]

#: Fewest nights or days from which errors say anything [nights]. Judgement.
ERRORS_MIN = 10
#: Fewest nights or days from which a score of odds says anything [nights]. Judgement.
ODDS_MIN = 30
#: Nights of a spray window, over which the odds of a freeze are told.
WEEK_NIGHTS = 7
#: Rain that counts as rain [inch]: the smallest measurable amount.
WET_IN = 0.01


@dataclass(frozen=True)
class LeadErrors:
    """Errors of one lead day; ``nights`` counts the different dates among the pairs."""

    lead_days: int
    nights: int
    scores: ErrorScores


@dataclass(frozen=True, eq=False)
class LeadOdds:
    """Odds of one lead day, None for all of them together; ``nights`` as in `LeadErrors`."""

    lead_days: int | None
    nights: int
    scores: OddsScores


@dataclass(frozen=True, eq=False)
class SourceScores:
    """Everything that is told of one source of forecasts.

    ``freeze`` and ``rain`` end with all leads together; ``freeze_week`` are the odds of at least
    one freeze in the seven nights that a spray of that morning needs. ``own_errors`` tells
    whether mornings that this source leads count with errors of lows that were kept.
    """

    source: str
    issues: int
    first_on: date | None
    last_on: date | None
    lows: tuple[LeadErrors, ...]
    highs: tuple[LeadErrors, ...]
    wind: tuple[LeadErrors, ...]
    freeze: tuple[LeadOdds, ...]
    freeze_week: LeadOdds
    rain: tuple[LeadOdds, ...]
    low_errors: tuple[BlendedLead, ...]
    own_errors: OwnErrorFigures | None = None


@dataclass(frozen=True, eq=False)
class WatchedForecast:
    """Pairs of one place, and the line a night freezes at there [F]."""

    pairs: Matched
    freeze_f: float


@dataclass(frozen=True)
class Verified:
    """Everything ``verify`` tells. ``unread`` mornings were kept in a form no longer read."""

    places: tuple[Watched, ...]
    sources: tuple[SourceScores, ...]
    windows: WindowScores
    mornings: int
    unread: int


def source_scores(
    source: str, places: Sequence[WatchedForecast], policy: DispatchPolicy
) -> SourceScores:
    """Scores of one source over all places it was watched at.

    The odds are those the morning's order counts with, by the error table of ``policy``; each
    night by itself, and the seven nights ahead with their correlation. Errors that were kept are
    left out of them: they were learnt from the very nights they would be scored on.
    """
    lows = _together([one.pairs.lows for one in places])
    lines = np.concatenate(
        [np.full(one.pairs.lows.told.size, one.freeze_f) for one in places] or [np.empty(0)]
    )
    on = sorted(moment.date() for one in places for moment in one.pairs.fetched_utc)
    weeks = [_weeks(one, policy) for one in places]
    chance, came, nights = (
        np.concatenate([week[part] for week in weeks] or [np.empty(0)]) for part in range(3)
    )
    rain = _together([one.pairs.rain for one in places])
    return SourceScores(
        source=source,
        issues=len(on),
        first_on=on[0] if on else None,
        last_on=on[-1] if on else None,
        lows=_errors(lows),
        highs=_errors(_together([one.pairs.highs for one in places])),
        wind=_errors(_together([one.pairs.wind for one in places])),
        freeze=_odds(lows, night_chance(lows, lines, policy), _froze(lows.observed, lines)),
        freeze_week=LeadOdds(
            None, np.unique(nights[~np.isnan(came)]).size, odds_scores(chance, came)
        ),
        rain=_odds(rain, rain.told / 100, _wet(rain.observed)),
        low_errors=blended_low_errors(
            lows.lead_days,
            lows.on,
            lows.told,
            lows.observed,
            policy.low_bias_f,
            policy.low_error_sd_f,
        ),
    )


def night_chance(lows: Pairs, line_f: Floats, policy: DispatchPolicy) -> Floats:
    """Chance that each night reads at or below its line, one by one, 0 to 1."""
    return 1 - _alive(lows.told[:, None], lows.lead_days[:, None], line_f, policy)[:, -1]


def _alive(
    low_f: Floats, lead: npt.NDArray[np.int64], line_f: Floats, policy: DispatchPolicy
) -> Floats:
    bias, sd, dof = (
        np.asarray(table, float)[np.minimum(lead, len(table) - 1)]
        for table in (policy.low_bias_f, policy.low_error_sd_f, policy.low_error_dof)
    )
    return chance_alive(
        low_f,
        sd * np.sqrt((dof - 2) / dof),
        line_f,
        np.ones(low_f.shape),
        bias_f=bias,
        dof=dof,
        correlation=policy.night_correlation,
        first=np.zeros(len(low_f), dtype=int),
        trusted_nights=low_f.shape[1],
    )


def _weeks(
    place: WatchedForecast, policy: DispatchPolicy
) -> tuple[Floats, Floats, npt.NDArray[np.datetime64]]:
    """By issue whose seven nights are all told: chance of a freeze, whether it came, and when."""
    lows = place.pairs.lows
    chance, came, on = [], [], []
    for number, first in enumerate(place.pairs.first_night.tolist()):
        order = lows.lead_days - first
        mine = (lows.issue == number) & (order >= 0) & (order < WEEK_NIGHTS)
        if mine.sum() < WEEK_NIGHTS:
            continue
        lead, line = lows.lead_days[mine][None, :], np.array([place.freeze_f])
        chance.append(1 - _alive(lows.told[mine][None, :], lead, line, policy)[0, -1])
        froze = _froze(lows.observed[mine], np.full(WEEK_NIGHTS, place.freeze_f))
        came.append(float("nan") if np.isnan(froze).any() else froze.max())
        on.append(lows.on[mine][0])
    return np.array(chance), np.array(came), np.array(on, dtype="datetime64[D]")


def _froze(low_f: Floats, line_f: Floats) -> Floats:
    # Whole-degree thermometers show the line up to half a degree above it, as the odds count.
    return np.where(np.isnan(low_f), np.nan, low_f < line_f + READING_HALF_F)


def _wet(rain_in: Floats) -> Floats:
    return np.where(np.isnan(rain_in), np.nan, rain_in >= WET_IN - 1e-6)


def _together(pairs: Sequence[Pairs]) -> Pairs:
    names = ("issue", "lead_days", "on", "told", "observed")
    return Pairs(*(np.concatenate([getattr(one, name) for one in pairs]) for name in names))


def _errors(pairs: Pairs) -> tuple[LeadErrors, ...]:
    return tuple(
        LeadErrors(
            int(lead),
            _dates(pairs, mine := pairs.lead_days == lead),
            error_scores(pairs.told[mine], pairs.observed[mine]),
        )
        for lead in np.unique(pairs.lead_days)
    )


def _odds(pairs: Pairs, chance: Floats, came: Floats) -> tuple[LeadOdds, ...]:
    by_lead = [
        LeadOdds(
            int(lead),
            _dates(pairs, mine := pairs.lead_days == lead),
            odds_scores(chance[mine], came[mine]),
        )
        for lead in np.unique(pairs.lead_days)
    ]
    whole = np.ones(chance.size, dtype=bool)
    return (*by_lead, LeadOdds(None, _dates(pairs, whole), odds_scores(chance, came)))


def _dates(pairs: Pairs, mine: npt.NDArray[np.bool_]) -> int:
    return int(np.unique(pairs.on[mine & ~np.isnan(pairs.observed)]).size)
