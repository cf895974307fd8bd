"""A farm's own errors of lows in the policy of a morning: when they count, and when not."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from agronomy.low_errors import LOW_BIAS_F, LOW_ERROR_SD_F
from agronomy.own_low_errors import OwnLead, OwnLowErrors
from dispatch.own_errors import with_own_errors
from dispatch.policy import DispatchPolicy

NWS, OTHER = "US National Weather Service", "MET Norway"
TODAY = date(2026, 10, 6)


def kept(source=NWS, last_on=date(2025, 12, 8), **more) -> OwnLowErrors:
    lead = OwnLead(lead_days=1, nights=60, pairs=60, bias_f=1.29, sd_f=5.07)
    values = {
        "uuid": UUID(int=1),
        "source": source,
        "kept_utc": datetime(2026, 1, 3, 15, tzinfo=UTC),
        "first_on": date(2025, 9, 20),
        "last_on": last_on,
        "leads": (lead,),
    }
    return OwnLowErrors(**(values | more))


def test_sixty_nights_move_the_bias_half_way_and_only_of_their_lead():
    """By hand: weight 60 / 120. Bias 0.29 and 1.29 make 0.79; equal spreads stay."""
    policy, told = with_own_errors(DispatchPolicy(), [kept()], NWS, TODAY)

    assert policy.low_bias_f[1] == pytest.approx(0.79)
    assert policy.low_error_sd_f[1] == pytest.approx(5.07)
    assert (policy.low_bias_f[0], policy.low_bias_f[2:]) == (LOW_BIAS_F[0], LOW_BIAS_F[2:])
    assert told.used
    assert [(one.nights, one.weight_frac) for one in told.leads] == [(60, 0.5)]


def test_nothing_kept_says_nothing():
    assert with_own_errors(DispatchPolicy(), [], NWS, TODAY) == (DispatchPolicy(), None)
    taken_back = kept(leads=(), forgotten=True)
    assert with_own_errors(DispatchPolicy(), [taken_back], NWS, TODAY)[1] is None


@pytest.mark.parametrize(
    ("settings", "table", "why", "chosen"),
    [
        ({}, kept(OTHER), "they are of MET Norway, and US National Weather Service leads", False),
        ({}, kept(last_on=date(2025, 6, 30)), "more than a season away", False),
        ({"own_low_errors": False}, kept(), "own_low_errors is false", True),
        ({"low_error_sd_f": LOW_ERROR_SD_F}, kept(), "low_error_sd_f in [dispatch] win", True),
        ({"low_bias_f": (1.0,)}, kept(), "low_bias_f in [dispatch] win over them", True),
    ],
)
def test_what_does_not_fit_leaves_the_settings_as_they_are_and_says_why(
    settings, table, why, chosen
):
    policy = DispatchPolicy(**settings)
    used, told = with_own_errors(policy, [table], NWS, TODAY)

    assert used is policy
    assert not told.used
    assert why in told.why_not
    assert told.chosen is chosen


def test_of_two_sources_the_one_that_leads_counts():
    tables = [kept(), kept(OTHER)]
    for source in (NWS, OTHER):
        assert with_own_errors(DispatchPolicy(), tables, source, TODAY)[1].source == source


def test_the_first_day_of_the_season_before_still_counts():
    """The season of 2026 begins on 1 July 2026, the one before on 1 July 2025."""
    told = with_own_errors(DispatchPolicy(), [kept(last_on=date(2025, 7, 1))], NWS, TODAY)[1]
    assert told.used
