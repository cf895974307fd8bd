"""Every rule is run on the same seasons, and a season does not depend on its company."""

from dataclasses import replace

import numpy as np
import pytest

from dispatch.season.run import OURS, Outcome, run_block
from dispatch.season.score import differences, scores

FIELDS = 8


@pytest.fixture(scope="module")
def outcomes():
    return run_block(505, (3, 4), FIELDS)


def test_a_season_is_the_same_in_whatever_company(outcomes):
    alone = run_block(505, (4,), FIELDS)
    assert alone == [one for one in outcomes if one.season == 4]


def test_rules_share_their_weather(outcomes):
    hours = {}
    for one in outcomes:
        hours.setdefault(one.season, set()).add(one.usable_rig_hours)
    assert all(len(each) == 1 for each in hours.values())
    assert len({min(each) for each in hours.values()}) == 2


def test_outcomes_stay_within_what_is_possible(outcomes):
    for one in outcomes:
        assert 25 <= one.worth_pct <= 100
        assert 0 <= one.ripe_caught_pct <= one.caught_pct <= 100
        assert one.rig_hours <= one.usable_rig_hours
        # A field never sprayed keeps a quarter, so that much is missing at least.
        assert one.worth_pct <= 100 - 0.75 * one.caught_pct + 1e-9


def outcome(season, rule, worth):
    return Outcome(season, rule, worth, 10.0, 4.0, 1.0, 2.0)


def test_scores_are_paired_by_season():
    # Differences 1, 3: mean 2, spread sqrt(2), half-width 1.96 x sqrt(2) / sqrt(2).
    told = [outcome(1, OURS, 80.0), outcome(0, OURS, 60.0)]
    told += [outcome(0, "other", 59.0), outcome(1, "other", 77.0)]
    ours, other = scores(told)
    assert (ours.rule, ours.worth_pct, ours.behind_pct) == (OURS, 70.0, 0.0)
    assert other.behind_pct == pytest.approx(2.0)
    assert other.behind_pm_pct == pytest.approx(1.96)
    assert differences(told, "other").tolist() == [1.0, 3.0]
    assert other.worst_pct == pytest.approx(np.percentile([59.0, 77.0], 5))


def test_one_season_has_no_interval():
    told = [outcome(0, OURS, 60.0), replace(outcome(0, "other", 59.0))]
    assert scores(told)[1].behind_pm_pct is None
