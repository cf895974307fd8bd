"""After a spray: leaf drop, a second pass, harvest."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from skies import CLIMATE, NOW, TREATMENT, morning, only_call, sky, visit

from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.field_rules import FieldRules
from dispatch.report import Call
from farm.records import Spray


def spray(days_ago: float, treatment_id: str = "mix") -> Spray:
    return Spray(
        uuid=uuid4(),
        field_id="f1",
        sprayed_utc=NOW - timedelta(days=days_ago),
        treatment_id=treatment_id,
    )


def followed(days_ago: float, *visits, **more):
    told = [visit(days_ago=days_ago + 1), *visits]
    call = only_call(morning(sky(), visits=told, sprays=[spray(days_ago)], **more))
    assert call.call is Call.WAIT
    return call


def leaf_drop(pct: float, days_ago: float):
    return visit(days_ago=days_ago, nacb=None, percent_open=None, leaf_drop_pct=pct)


def with_label(preharvest_days: float | None) -> FieldRules:
    mix = TREATMENT.model_copy(update={"preharvest_days": preharvest_days})
    return FieldRules(SprayGates(), MaturityRules(), mix, CLIMATE)


def test_leaves_still_on_after_a_week_ask_for_a_second_pass():
    call = followed(10, leaf_drop(62, 3))
    assert call.follow_up.second_pass
    assert call.follow_up.leaf_drop_pct == 62
    assert call.reasons[-1] == (
        "62 % leaf drop Sat, below 75: consider a second pass; "
        "two passes are 7 to 10 days apart in Australia (S40)."
    )


@pytest.mark.parametrize(
    ("sprayed_days_ago", "pct", "seen_days_ago", "again"),
    [
        pytest.param(10, 75, 3, False, id="75 % is the bar of a single spray, S71b"),
        pytest.param(10, 74.9, 3, True, id="just below it"),
        pytest.param(10, 62, 3.1, False, id="seen before a week is over"),
        pytest.param(10, 62, 3, True, id="seen when a week is over"),
        pytest.param(10, 10, 11, False, id="seen before the spray"),
    ],
)
def test_the_second_pass_hangs_on_leaf_drop_and_days(sprayed_days_ago, pct, seen_days_ago, again):
    told = followed(sprayed_days_ago, leaf_drop(pct, seen_days_ago)).follow_up
    assert told.second_pass is again
    assert bool(told.second_pass_words) is again


def test_the_newest_leaf_drop_counts():
    told = followed(12, leaf_drop(40, 4), leaf_drop(88, 1)).follow_up
    assert (told.leaf_drop_pct, told.second_pass) == (88, False)


def test_a_look_before_the_spray_says_nothing_of_it():
    assert followed(10, leaf_drop(10, 11)).follow_up.leaf_drop_pct is None


def test_without_a_look_nothing_is_said_of_leaf_drop():
    told = followed(10).follow_up
    assert (told.leaf_drop_pct, told.second_pass, told.second_pass_words) == (None, False, "")


@pytest.mark.parametrize(
    ("label_days", "first", "entered"),
    [
        pytest.param(None, date(2026, 10, 15), False, id="14 days after 1 October, S36"),
        pytest.param(7, date(2026, 10, 15), True, id="a shorter label changes nothing"),
        pytest.param(14, date(2026, 10, 16), True, id="14 x 24 h end in the morning of the 15th"),
        pytest.param(21, date(2026, 10, 23), True, id="a longer label wins"),
    ],
)
def test_harvest_waits_two_weeks_and_for_the_label(label_days, first, entered):
    told = followed(5, field_rules=with_label(label_days)).follow_up
    assert told.harvest_from == first
    assert told.harvest_label_entered is entered


def test_a_mix_the_config_has_no_more_has_no_label_days():
    made = morning(sky(), sprays=[spray(5, "gone")], field_rules=with_label(30))
    told = only_call(made).follow_up
    assert (told.harvest_from, told.harvest_label_entered) == (date(2026, 10, 15), False)


def test_a_warm_sky_drops_the_leaves_sooner_than_a_cold_one():
    warm = only_call(morning(sky(highs_f=(92,) * 9, lows_f=(66,) * 10)))
    cold = only_call(morning(sky(highs_f=(64,) * 9, lows_f=(45,) * 10)))
    first, second = warm.leaf_drop_expected_on, cold.leaf_drop_expected_on
    assert date(2026, 10, 13) <= first < second <= date(2026, 10, 28)


def test_two_weeks_of_warmth_end_at_the_season_s_normal():
    call = only_call(morning(sky()))
    assert call.heat_14d_on_climate
    # Days of 84 and 56 F have 10 F days each; the normal fortnight after them has less.
    assert call.heat_units_7d_f_days == pytest.approx(70, abs=3)
    assert call.heat_units_7d_f_days < call.heat_units_14d_f_days < 140


def test_the_days_past_the_forecast_are_those_of_their_own_dates():
    """Normal means of 85 F to mid October (day 288), 28 F on day 319, with next to no spread."""
    normals = {"normal_high_f": (90, 90, 90, 28, 28), "normal_low_f": (80, 80, 80, 28, 28)}
    climate = CLIMATE.model_copy(update={"temp_sd_f": 0.5, **normals})
    rule = FieldRules(SprayGates(), MaturityRules(), TREATMENT, climate)
    call = only_call(morning(sky(hourly_until_h=192), field_rules=rule))
    # Eight days of 10 F days, 14 and 15 October with 25, then 57/31 F less each day to the 19th.
    expected = 8 * 10 + 25 + sum(25 - step * 57 / 31 for step in range(5))
    assert call.heat_units_14d_f_days == pytest.approx(expected, abs=0.2)


def test_a_hole_in_the_forecast_leaves_two_weeks_unknown():
    holed = sky()
    for name in ("temp_f", "window_low_f"):
        getattr(holed, name)[:, 60:100] = float("nan")
    call = only_call(morning(holed))
    assert (call.heat_units_14d_f_days, call.heat_14d_on_climate) == (None, False)


@pytest.mark.parametrize(
    ("counts", "loss", "by"),
    [
        pytest.param({"nacb": 6, "percent_open": 20}, 3.76, "nodes", id="S3, nodes go first"),
        pytest.param({"nacb": 2, "percent_open": 70}, 0, "nodes", id="S3, below the break"),
        pytest.param({"nacb": None, "percent_open": 50}, 5, "open", id="S12, S17, between"),
    ],
)
def test_spraying_today_gives_up_what_is_not_done(counts, loss, by):
    call = only_call(morning(sky(), visits=[visit(**counts)]))
    assert call.spray_now_costs_crop_pct == pytest.approx(loss, abs=0.01)
    assert call.spray_now_costs_by == by


def test_waiting_gives_up_its_points_at_the_worth_of_a_spray():
    call = only_call(morning(sky(lows_f=(56, 54, 50, 40, 31, 27, 26, 26, 26, 26))))
    # A spray is worth a quarter of the crop by default.
    assert call.cost_pct > 5
    assert call.waiting_costs_crop_pct == pytest.approx(call.cost_pct / 4, abs=0.01)


def test_nothing_is_told_of_a_crop_that_is_not_known():
    call = only_call(morning(sky(), visits=[visit(days_ago=60)]))
    assert call.maturity.state == "unknown"
    assert (call.spray_now_costs_crop_pct, call.waiting_costs_crop_pct) == (None, None)


def test_a_look_at_leaf_drop_alone_never_makes_a_field_mature():
    call = only_call(morning(sky(), visits=[visit(), leaf_drop(50, 0.5)]))
    assert call.call is Call.UNKNOWN
