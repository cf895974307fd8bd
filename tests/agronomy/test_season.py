"""What the season usually brings: normals, first-freeze dates and the share of years."""

from datetime import date

import numpy as np
import pytest
from scipy.stats import norm

from agronomy.season import expected_excess_f, night_survival, normal_on, season_start

NORMALS = (93, 86, 76, 64, 54)


def test_first_freeze_hazard_gives_back_the_dates_where_every_year_has_one():
    """NOAA two-part method with a share of one: the product of nightly odds is 1 - F(date)."""
    survived = np.prod(night_survival(np.arange(250, 300), 299.0, 11.0))
    wanted = norm.sf(299, 299.0, 11.0) / norm.sf(249, 299.0, 11.0)

    assert survived == pytest.approx(wanted, rel=1e-9)


def test_first_freeze_hazard_gives_back_the_share_of_years():
    """NOAA two-part method: P(by d) = share x F(d), here 60 of 100 years."""
    survived = np.prod(night_survival(np.arange(200, 300), 299.0, 11.0, 0.6))

    assert 1 - survived == pytest.approx(0.6 * norm.cdf(299, 299.0, 11.0), rel=1e-9)


def test_after_the_last_date_only_years_without_a_freeze_are_left():
    """Where every year freezes it gets ever more certain; where some do not, it is over."""
    assert float(night_survival(366, 299.0, 11.0, 0.9)) > 0.999
    assert float(night_survival(366, 299.0, 11.0)) < 0.7
    assert float(night_survival(420, 299.0, 5.0)) == pytest.approx(0, abs=0.05)


def test_each_place_has_its_own_share():
    both = night_survival([[299.0], [299.0]], [[299.0]] * 2, [[11.0]] * 2, [[1.0], [0.5]])

    assert both.shape == (2, 1)
    assert both[0, 0] < both[1, 0]


def test_expected_excess_matches_numerical_integration():
    """scipy.stats.norm.expect as the reference."""
    wanted = norm(62.0, 8.0).expect(lambda temp: max(0.0, temp - 60.0))

    assert float(expected_excess_f(62.0, 8.0)) == pytest.approx(wanted, abs=1e-6)


def test_normals_run_straight_between_mid_months():
    """Half way from 15 September (day 258) to 15 October (day 288)."""
    assert float(normal_on(273, NORMALS)) == pytest.approx(81.0)


def test_winter_belongs_to_the_season_before_it():
    """In February the year's freezes are past, and the normal is December's, not August's."""
    assert float(normal_on(45, NORMALS)) == 54.0
    assert float(night_survival(45, 299.0, 11.0)) < 0.5
    assert float(night_survival(230, 299.0, 11.0)) > 0.999


@pytest.mark.parametrize(
    ("day", "start"),
    [
        (date(2026, 10, 6), date(2026, 7, 1)),
        (date(2026, 7, 1), date(2026, 7, 1)),
        (date(2026, 6, 30), date(2025, 7, 1)),
        (date(2027, 1, 2), date(2026, 7, 1)),
    ],
)
def test_a_season_begins_on_the_first_of_july(day, start):
    assert season_start(day) == start
