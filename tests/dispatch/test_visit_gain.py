"""What a visit is worth, and the projection behind it."""

from datetime import date

import pytest
from skies import cotton, morning, only_call, sky, visit

from dispatch.report import Call

COOLING = (56, 56, 54, 50, 46, 44, 40, 38, 33, 33)


def gains(report):
    return {one.field.id: one.visit_gain for one in report.fields}


def test_a_visit_is_worth_the_cost_of_the_line_times_the_chance_to_find_it_mature():
    call = only_call(morning(sky(lows_f=COOLING), visits=[visit(nacb=4.4, percent_open=55)]))
    gain = call.visit_gain

    assert gain.points == pytest.approx(
        gain.cost_if_mature_pct * gain.chance_mature_pct / 100, abs=0.02
    )
    assert gain.acres == pytest.approx(gain.points, abs=0.02)
    assert gain.cost_if_mature_pct > 5


def test_the_cost_if_mature_is_that_of_the_same_field_found_mature():
    nearly = only_call(morning(sky(lows_f=COOLING), visits=[visit(nacb=4.8, percent_open=52)]))
    mature = only_call(morning(sky(lows_f=COOLING)))

    assert nearly.visit_gain.cost_if_mature_pct == pytest.approx(mature.cost_pct, abs=0.3)


def test_the_nearer_to_mature_the_more_a_visit_is_worth():
    farm = [cotton(number) for number in range(1, 5)]
    visits = [
        visit(one.id, nacb=nacb, percent_open=None)
        for one, nacb in zip(farm, (4.2, 5.0, 6.0, 8.0), strict=True)
    ]
    told = gains(morning(sky(lows_f=COOLING), farm, visits))
    points = [told[one.id].points for one in farm]

    assert points == sorted(points, reverse=True)
    assert points[0] > 4 * points[2]


def test_a_field_to_spray_needs_no_visit():
    assert only_call(morning(sky(lows_f=COOLING))).visit_gain is None


def test_a_field_never_counted_is_worth_a_walk_at_even_odds():
    call = only_call(morning(sky(lows_f=COOLING), visits=[]))

    assert call.call is Call.UNKNOWN
    assert call.visit_gain.chance_mature_pct == 50.0
    assert call.visit_gain.never_counted


def test_without_a_forecast_to_the_night_a_visit_can_still_be_told():
    """An old count on a whole forecast: the projection says it should be mature by now."""
    call = only_call(morning(sky(lows_f=COOLING), visits=[visit(nacb=5.0, days_ago=14)]))

    assert call.call is Call.UNKNOWN
    assert call.visit_gain.chance_mature_pct > 75


def test_todays_count_is_projected_and_the_range_widens_with_age():
    fresh, old = (
        only_call(morning(sky(), visits=[visit(nacb=8.0, percent_open=25, days_ago=age)])).maturity
        for age in (0.1, 6.5)
    )

    assert fresh.nacb_today == pytest.approx(8.0, abs=0.05)
    assert old.nacb_today < fresh.nacb_today - 0.5
    assert old.nacb_today_high - old.nacb_today_low > fresh.nacb_today_high - fresh.nacb_today_low


def test_a_field_that_opened_fast_so_far_is_expected_sooner():
    quick = [
        visit(nacb=11.0, percent_open=10, days_ago=21),
        visit(nacb=6.0, percent_open=38, days_ago=1),
    ]
    assumed = only_call(morning(sky(), visits=quick[1:])).maturity
    fitted = only_call(morning(sky(), visits=quick)).maturity

    assert (assumed.opening_visits, fitted.opening_visits) == (1, 2)
    assert isinstance(assumed.ready_on, date)
    assert fitted.ready_on < assumed.ready_on
    assert fitted.ready_on_earliest <= fitted.ready_on <= fitted.ready_on_latest


def test_past_three_days_a_visit_is_worth_no_number():
    """The forecast the worth rests on is too old to show; a walk is still due by its date."""
    old = [visit(nacb=5.0, percent_open=48, days_ago=1)]

    assert only_call(morning(sky(age_h=70), visits=old)).visit_gain is not None
    assert only_call(morning(sky(age_h=80), visits=old)).visit_gain is None
