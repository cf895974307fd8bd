"""Freeze odds against forecasts that no fit has seen: autumn 2016, and 2015 where 2016 has none.

US Weather Service forecasts for southern cities 2014 to 2016 (2018 Data Expo), below the folder
named by RECORDED_ANSWERS and not part of the project.
"""

import pytest

from agronomy import low_errors
from scripts.derive_low_errors import module_text
from scripts.freeze_odds_page import PAIRINGS, scores_held_apart
from scripts.low_error_data import TEST_YEAR, read_lows, training
from scripts.low_error_fit import LeadError, fit_correlation, fit_table
from scripts.low_error_score import pooled

FILE = "datasets/nws_minmax_forecast_vs_observed_south_2014_2016.csv.gz"
#: Days ahead and points a well-filled bin may be off; calendar-day lows blur the first two.
LOOSE_POINTS, POINTS = 10.0, 7.0


@pytest.fixture(scope="module")
def lows(recorded_answers):
    file = recorded_answers / FILE
    if not file.is_file():
        pytest.skip(f"no {FILE} below RECORDED_ANSWERS")
    return read_lows(file)


@pytest.fixture(scope="module")
def in_use(lows):
    """The table as the project uses it, through the numbers of the generated module."""
    columns = zip(
        low_errors.LOW_BIAS_F, low_errors.LOW_ERROR_SD_F, low_errors.LOW_ERROR_DOF, strict=True
    )
    return [
        LeadError(lead, 0, bias, sd * ((dof - 2) / dof) ** 0.5, dof)
        for lead, (bias, sd, dof) in enumerate(columns)
    ]


def test_the_table_in_the_project_is_what_the_script_derives(lows):
    table = fit_table(training(lows))
    correlation = fit_correlation(lows[lows.year < TEST_YEAR], table, leads=7)

    with open(low_errors.__file__, encoding="utf-8") as file:
        assert file.read() == module_text(table, correlation)


@pytest.mark.parametrize("line_f", [32.0, 28.0])
@pytest.mark.parametrize("low", list(PAIRINGS))
def test_the_odds_beat_the_hard_line_by_a_fifth_at_every_lead(lows, in_use, low, line_f):
    scores = scores_held_apart(lows, in_use, line_f)
    better = {lead: scores[low, lead].better_pct for lead in range(7)}

    assert all(scores[low, lead].rows > 2000 for lead in range(7))
    assert min(better.values()) >= 20, better


@pytest.mark.parametrize("line_f", [32.0, 28.0])
@pytest.mark.parametrize("low", list(PAIRINGS))
def test_every_well_filled_bin_froze_as_often_as_told(lows, in_use, low, line_f):
    scores = scores_held_apart(lows, in_use, line_f)
    off = {lead: scores[low, lead].worst_bin_points for lead in range(7)}

    assert all(off[lead] <= (LOOSE_POINTS if lead < 2 else POINTS) for lead in off), off


def test_over_all_leads_no_bin_is_off_by_more_than_seven_points(lows, in_use):
    """Paired by night; every bin of ten then has hundreds of cases."""
    for line_f in (32.0, 28.0):
        scores = scores_held_apart(lows, in_use, line_f)
        whole = pooled([scores["came_f", lead].bins for lead in range(6)])
        assert (whole.n >= 200).all()
        assert (whole.came_pct - whole.told_pct).abs().max() <= POINTS
