"""One call for each field, from what is known and what is not."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import numpy as np
import pytest
from skies import NOW, cotton, morning, only_call, rules, sky, visit, with_hours

from dispatch.report import Call
from farm.records import Spray

FREEZE_ON_DAY_8 = (56, 56, 54, 50, 46, 44, 42, 40, 30, 30)
FREEZE_ON_DAY_4 = (56, 56, 54, 44, 30, 30, 30, 30, 30, 30)


def test_a_mature_field_under_a_warm_dry_week_is_sprayed():
    """The twin of every refusal: complete good data does say spray."""
    call = only_call(morning(sky()))

    assert call.call is Call.SPRAY
    assert call.rank == 1
    assert call.windows[0].full
    assert call.windows[0].start_utc == datetime(2026, 10, 6, 15, tzinfo=UTC)
    assert call.windows[0].end_utc == datetime(2026, 10, 6, 22, tzinfo=UTC)


def test_windows_keep_clear_of_sunrise_and_sunset():
    """Sunrise 7:39 and sunset 7:13 pm local near 34.2 N 100.5 W on 6 October (pvlib SPA)."""
    window = only_call(morning(sky())).windows[0]
    sunrise = datetime(2026, 10, 6, 12, 39, tzinfo=UTC)
    sunset = datetime(2026, 10, 7, 0, 13, tzinfo=UTC)

    assert window.start_utc >= sunrise + timedelta(hours=1.5)
    assert window.end_utc <= sunset - timedelta(hours=2)


def test_a_freeze_inside_the_week_makes_it_short_and_says_what_is_given_up():
    call = only_call(morning(sky(lows_f=FREEZE_ON_DAY_4)))

    assert call.call is Call.SHORT
    assert call.rank == 1
    assert call.reasons[0].startswith("Short: 3 of 7 nights before a freeze (Sat ")
    assert "gives up about" in call.reasons[0]
    assert call.spray_by_utc is None


def test_spray_by_is_the_last_hour_before_the_week_runs_into_the_freeze():
    """The freeze comes on the morning of 14 October: today's are the last full windows."""
    call = only_call(morning(sky(lows_f=FREEZE_ON_DAY_8)))

    assert call.call is Call.SPRAY
    assert call.spray_by_bound == "freeze"
    assert call.spray_by_utc == datetime(2026, 10, 6, 21, tzinfo=UTC)
    assert call.freeze.first_utc is not None
    assert call.freeze.first_utc.date() == date(2026, 10, 14)
    assert call.freeze.lead_days > 7


def test_a_thaw_after_the_freeze_does_not_reopen_the_spray_by():
    """Warm again on day 9, and unseen past it: what ends the full windows is the freeze."""
    lows = (*FREEZE_ON_DAY_8[:9], 56)

    assert only_call(morning(sky(lows_f=lows))).spray_by_bound == "freeze"


def test_rain_within_the_treatments_hours_makes_it_short():
    """Rain from 6 pm on both days: a spray at 4 pm has 2 of the 12 hours a label may ask."""
    wet = with_hours(sky(), "rain_in", slice(12, 18), 0.1)
    wet = with_hours(wet, "rain_in", slice(36, 42), 0.1)
    wet = with_hours(wet, "rain_chance_pct", slice(12, 18), 70)
    wet = with_hours(wet, "rain_chance_pct", slice(36, 42), 70)
    call = only_call(morning(wet))

    assert call.call in (Call.SHORT, Call.WAIT)
    assert not any(window.full for window in call.windows)


def test_wind_above_the_limit_all_day_is_a_wait_that_names_the_cause():
    call = only_call(morning(sky(wind_mph=14)))

    assert call.call is Call.WAIT
    assert "wind too strong" in call.reasons[0]


@pytest.mark.parametrize(
    ("wind_mph", "call"),
    [
        pytest.param(3.0, Call.SPRAY, id="3 mph: Georgia extension 2021, lower end"),
        pytest.param(10.0, Call.SPRAY, id="10 mph: Georgia extension 2021, upper end"),
        pytest.param(2.5, Call.WAIT, id="calm: possible inversion"),
        pytest.param(10.5, Call.WAIT, id="over 10 mph"),
    ],
)
def test_wind_range_is_three_to_ten(wind_mph, call):
    assert only_call(morning(sky(wind_mph=wind_mph))).call is call


@pytest.mark.parametrize(
    ("nacb", "percent_open", "call"),
    [
        pytest.param(4.0, 60, Call.SPRAY, id="NACB 4 and 60 % open: common practice"),
        pytest.param(4.1, 59, Call.WAIT, id="just short of both"),
        pytest.param(9.0, 20, Call.WAIT, id="green"),
        pytest.param(None, 65, Call.SPRAY, id="percent open alone"),
        pytest.param(3.0, None, Call.SPRAY, id="NACB alone"),
        pytest.param(None, None, Call.UNKNOWN, id="nothing counted"),
    ],
)
def test_maturity_decides_whether_a_field_may_be_called(nacb, percent_open, call):
    told = morning(sky(), visits=[visit(nacb=nacb, percent_open=percent_open)])

    assert only_call(told).call is call


def test_fifty_percent_open_needs_a_passed_cut_test_where_the_region_asks_sixty():
    """40 % open with mature cut bolls: common practice in short-season country, no source."""
    counts = {"nacb": 3.6, "percent_open": 42}
    plain = morning(sky(), visits=[visit(**counts)])
    cut = morning(sky(), visits=[visit(**counts, bolls_cut=10, bolls_cut_mature=10)])
    failed = morning(sky(), visits=[visit(**counts, bolls_cut=10, bolls_cut_mature=7)])

    assert only_call(plain).call is not Call.SPRAY
    assert only_call(cut).call is Call.SPRAY
    assert only_call(failed).call is not Call.SPRAY


def test_immature_vegetative_branch_bolls_hold_a_field_back():
    told = visit(vegetative_bolls_cut=6, vegetative_bolls_mature=4)

    assert only_call(morning(sky(), visits=[told])).call is not Call.SPRAY


def test_a_nearly_mature_field_that_loses_by_waiting_is_walked():
    told = morning(sky(lows_f=FREEZE_ON_DAY_8), visits=[visit(nacb=4.8, percent_open=52)])
    call = only_call(told)

    assert call.call is Call.LOOK
    assert call.rank is None
    assert call.cost_pct > 5
    assert "cut the top bolls" in call.to_do
    assert call.reasons[1] == "If its bolls are mature it goes 1st."
    assert call.place_if_mature == 1


def test_a_nearly_mature_field_that_loses_little_waits():
    call = only_call(morning(sky(), visits=[visit(nacb=4.8, percent_open=52)]))

    assert call.call is Call.WAIT
    assert call.cost_pct <= 5
    assert call.wait_until is not None


@pytest.mark.parametrize(
    ("days_ago", "call"),
    [(6.9, Call.SPRAY), (7.1, Call.UNKNOWN), (-0.5, Call.UNKNOWN)],
)
def test_a_visit_speaks_for_a_week(days_ago, call):
    """A visit dated after the morning is not used at all."""
    assert only_call(morning(sky(), visits=[visit(days_ago=days_ago)])).call is call


def test_a_field_never_scouted_is_unknown_and_asks_for_a_count():
    call = only_call(morning(sky(), visits=[]))

    assert call.call is Call.UNKNOWN
    assert call.reasons[0] == "Never scouted."
    assert "12 plants" in call.to_do


@pytest.mark.fault("I20")
def test_two_scouts_who_disagree_leave_the_field_unknown():
    visits = [
        visit(nacb=3.0, percent_open=70, days_ago=1.2, scout="Mara"),
        visit(nacb=7.0, percent_open=30, days_ago=1.0, scout="Ilse"),
    ]
    call = only_call(morning(sky(), visits=visits))

    assert call.call is Call.UNKNOWN
    assert "Two scouts disagree (Mara" in call.reasons[0]


def test_a_visit_dated_ahead_does_not_hide_the_one_before_it():
    """A morning replayed as of last week must not know this week's counts."""
    visits = [visit(days_ago=1.0), visit(nacb=9.0, percent_open=15, days_ago=-3.0)]

    assert only_call(morning(sky(), visits=visits)).call is Call.SPRAY


def test_a_scout_who_corrects_themself_is_believed():
    visits = [
        visit(nacb=7.0, percent_open=30, days_ago=1.2),
        visit(nacb=3.0, percent_open=70, days_ago=1.0),
    ]

    assert only_call(morning(sky(), visits=visits)).call is Call.SPRAY


@pytest.mark.parametrize(
    ("age_h", "call", "mark"),
    [
        (5.9, Call.SPRAY, "fresh"),
        (6.1, Call.SPRAY, "ageing"),
        (11.9, Call.SPRAY, "ageing"),
        (12.1, Call.UNKNOWN, "old"),
        (24.1, Call.UNKNOWN, "old"),
        (72.1, Call.UNKNOWN, "very_old"),
    ],
)
def test_age_counts_from_the_issue_time(age_h, call, mark):
    told = only_call(morning(sky(age_h=age_h)))

    assert told.call is call
    assert told.forecast.age_mark == mark


def test_past_three_days_no_number_is_shown():
    call = only_call(morning(sky(age_h=80)))

    assert call.effect_pct is None
    assert call.heat_units_7d_f_days is None
    assert call.visit_gain is None
    assert call.freeze.chance_7d_pct is None
    assert call.strip is None


def test_a_green_field_is_unknown_too_once_the_forecast_is_a_day_old():
    green = [visit(nacb=9, percent_open=20)]

    assert only_call(morning(sky(age_h=13), visits=green)).call is Call.WAIT
    assert only_call(morning(sky(age_h=25), visits=green)).call is Call.UNKNOWN


@pytest.mark.parametrize(
    ("quantity", "words"),
    [
        ("rain_in", "rain"),
        ("rain_chance_pct", "rain"),
        ("wind_mph", "wind"),
        ("gust_mph", "gusts"),
        ("humidity_pct", "humidity"),
        ("temp_f", "temperature"),
    ],
)
def test_a_hole_through_the_span_is_unknown_and_named(quantity, words):
    call = only_call(morning(with_hours(sky(), quantity, slice(0, 60), np.nan)))

    assert call.call is Call.UNKNOWN
    assert words in call.reasons[0]
    assert call.effect_pct is None


def test_a_cell_without_an_answer_is_unknown_with_its_problem():
    forecast = replace(sky(), issued_utc=(None,), problem=("no answer from the service (503)",))
    forecast = replace(
        forecast, **{name: np.full_like(forecast.temp_f, np.nan) for name in ("temp_f", "rain_in")}
    )
    call = only_call(morning(forecast))

    assert call.call is Call.UNKNOWN
    assert "503" in call.reasons[0]


def test_a_forecast_of_six_nights_ranks_the_field_but_promises_nothing():
    seen = sky(hourly_until_h=150)
    seen = with_hours(seen, "window_low_f", slice(150, None), np.nan)
    call = only_call(morning(seen))

    assert call.call is Call.SHORT
    assert "6 of 7 nights seen, no freeze in them" in call.reasons[0]


def test_a_hole_today_is_unknown_though_tomorrow_has_part_of_a_window():
    """Only six nights are seen from tomorrow on; today could have been a full window."""
    seen = sky(hourly_until_h=150)
    seen = with_hours(seen, "window_low_f", slice(174, None), np.nan)
    whole = only_call(morning(seen))
    holed = only_call(morning(with_hours(seen, "wind_mph", slice(0, 20), np.nan)))

    assert whole.call is Call.SPRAY
    assert holed.call is Call.UNKNOWN


def test_a_forecast_of_three_days_is_unknown():
    seen = sky()
    for quantity in ("temp_f", "window_low_f"):
        seen = with_hours(seen, quantity, slice(72, None), np.nan)

    assert only_call(morning(seen)).call is Call.UNKNOWN


def test_a_sprayed_field_is_followed_up_and_stands_last():
    fields = [cotton(1), cotton(2)]
    spray = Spray(
        uuid=UUID(int=1),
        field_id="f1",
        sprayed_utc=NOW - timedelta(days=7),
        treatment_id="mix",
    )
    visits = [visit("f1", nacb=6.0, percent_open=40), visit("f2")]
    report = morning(sky(), fields, visits, sprays=[spray])
    followed = report.fields[-1]

    assert followed.maturity.coming_days == ()

    assert followed.field.id == "f1"
    assert followed.call is Call.WAIT
    assert followed.follow_up.due_today
    assert followed.follow_up.check_second_on == date(2026, 10, 13)
    assert report.with_call(Call.WAIT) == ()


def test_a_hollow_is_short_where_the_flat_is_full():
    lows = (56, 56, 54, 50, 46, 44, 40, 36, 40, 40)
    flat, hollow = morning(sky(cells=2, lows_f=lows), [cotton(1), cotton(2, cold_spot_f=5)]).fields

    assert {flat.field.id: flat.call, hollow.field.id: hollow.call} == {
        "f1": Call.SPRAY,
        "f2": Call.SHORT,
    }


def test_a_killing_line_is_kept_apart_from_the_freeze_line():
    call = only_call(
        morning(sky(lows_f=FREEZE_ON_DAY_4), field_rules=rules(freeze_f=32, killing_f=28))
    )

    assert call.freeze.killing_utc is None
    assert call.freeze.killing_chance_7d_pct < call.freeze.chance_7d_pct
