"""Dates of the first freeze out of daily lows: their mean, their spread, and the share of years."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Days = npt.NDArray[np.datetime64]

#: Day after which a freeze belongs to the coming winter, as days after 1 January: 24 July, the
#: middle of the frost-free season. As in Utah's freeze dates (S74d).
SEASON_STARTS_DAY = 204
#: Missing days before the freeze from which a season is not counted [days]. As in Utah's (S74d).
MISSING_TOO_MANY = 10
#: Last day a first freeze is waited for, as days after 1 January of the next year: 31 March.
SEASON_ENDS_DAY = 89
#: Fewest seasons that tell a mean and a spread. Judgement.
SEASONS_MIN = 5


@dataclass(frozen=True)
class FirstFreezes:
    """First freezes of a place: ``mean_day`` is counted from 1 January, day 1, and may pass 365.

    ``sd_days`` is the sample standard deviation, ``share_frac`` the share of the ``seasons``
    counted that had a freeze; ``dropped`` seasons missed too many days.
    """

    mean_day: float
    sd_days: float
    share_frac: float
    seasons: int
    dropped: int


def first_freezes(day: Days, low_f: npt.ArrayLike, line_f: float) -> FirstFreezes:
    """First freezes of each season, 24 July to 31 March.

    Parameters
    ----------
    day
        Dates, one each, in any order.
    low_f
        Lows of those days [F], NaN missing.
    line_f
        Temperature at or below which a day freezes [F].

    Returns
    -------
    FirstFreezes

    Raises
    ------
    ValueError
        Fewer than five seasons with a freeze are known well enough.
    """
    low = np.asarray(low_f, float)
    known = ~np.isnan(low)
    years = day.astype("datetime64[Y]").astype(int) + 1970
    freezes: list[float] = []
    seasons = dropped = 0
    for year in range(int(years.min()) - 1, int(years.max()) + 1):
        first, whole = _season(day[known], low[known], line_f, year)
        seasons += whole
        dropped += not whole
        if whole and first is not None:
            freezes.append(first)
    if len(freezes) < SEASONS_MIN:
        raise ValueError(
            f"got {len(freezes)} seasons with a first {line_f:g} F, wanted at least {SEASONS_MIN}; "
            "take a longer record or enter mean and spread by hand"
        )
    dates = np.array(freezes)
    return FirstFreezes(
        mean_day=float(dates.mean()),
        sd_days=float(dates.std(ddof=1)),
        share_frac=len(freezes) / seasons,
        seasons=seasons,
        dropped=dropped,
    )


def _season(day: Days, low_f: Floats, line_f: float, year: int) -> tuple[float | None, bool]:
    """Day of the first freeze, or None, and whether days enough are known."""
    january = np.datetime64(f"{year:04d}-01-01", "D")
    after = (day - january).astype(int)
    end = int((np.datetime64(f"{year + 1:04d}-01-01", "D") - january).astype(int))
    end += SEASON_ENDS_DAY
    inside = (after >= SEASON_STARTS_DAY) & (after <= end)
    froze = after[inside & (low_f <= line_f)]
    last = int(froze.min()) if froze.size else end
    seen = np.unique(after[inside & (after <= last)]).size
    missing = last - SEASON_STARTS_DAY + 1 - seen
    return (float(last + 1) if froze.size else None), missing < MISSING_TOO_MANY
