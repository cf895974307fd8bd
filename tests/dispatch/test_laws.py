"""Laws of the calls, on generated skies: what losing data, rain, rigs and freezes may do."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from skies import CLIMATE, POLICY, cotton, morning, only_call, rules, sky, visit, with_hours

from dispatch.report import Call

QUIET = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)

QUANTITIES = (
    "temp_f",
    "window_low_f",
    "humidity_pct",
    "wind_mph",
    "gust_mph",
    "rain_in",
    "rain_chance_pct",
    "rain_chance_from_h",
)

lows = st.lists(st.integers(26, 60), min_size=10, max_size=10).map(tuple)
highs = st.lists(st.integers(62, 92), min_size=9, max_size=9).map(tuple)
counts = st.tuples(
    st.one_of(st.none(), st.integers(0, 90).map(lambda tenths: tenths / 10)),
    st.one_of(st.none(), st.integers(0, 100)),
)


@st.composite
def skies(draw):
    """A sky with its own lows and highs, and sometimes rain, wind, or a hole of its own."""
    forecast = sky(
        highs_f=draw(highs), lows_f=draw(lows), wind_mph=draw(st.sampled_from([2, 6, 9, 12]))
    )
    start = draw(st.integers(0, 120))
    wet = draw(st.sampled_from([0, 20, 45, 90]))
    forecast = with_hours(forecast, "rain_chance_pct", slice(start, start + 12), wet)
    if wet >= 45:
        forecast = with_hours(forecast, "rain_in", slice(start, start + 12), 0.05)
    return forecast


@QUIET
@given(
    forecast=skies(),
    told=counts,
    quantity=st.sampled_from(QUANTITIES),
    first=st.integers(0, 215),
    length=st.one_of(st.integers(1, 30), st.just(216)),
)
def test_losing_hours_never_turns_another_call_into_spray(forecast, told, quantity, first, length):
    visits = [visit(nacb=told[0], percent_open=told[1])]
    before = only_call(morning(forecast, visits=visits))
    lost = with_hours(forecast, quantity, slice(first, first + length), np.nan)
    after = only_call(morning(lost, visits=visits))

    if before.call is not Call.SPRAY:
        assert after.call is not Call.SPRAY


@QUIET
@given(forecast=skies(), told=counts, until=st.integers(1, 215))
def test_a_forecast_cut_short_never_turns_another_call_into_spray(forecast, told, until):
    visits = [visit(nacb=told[0], percent_open=told[1])]
    before = only_call(morning(forecast, visits=visits))
    lost = forecast
    for quantity in QUANTITIES:
        lost = with_hours(lost, quantity, slice(until, None), np.nan)
    after = only_call(morning(lost, visits=visits))

    if before.call is not Call.SPRAY:
        assert after.call is not Call.SPRAY


@QUIET
@given(
    forecast=skies(),
    quantity=st.sampled_from(QUANTITIES),
    first=st.integers(20, 215),
    length=st.integers(1, 216),
)
def test_what_is_lost_beside_a_spray_makes_waiting_look_better_only(
    forecast, quantity, first, length
):
    """Losing what a spray does not rest on may raise the back of the line, and lower the effect
    now, never the other way; the climate here has its killing freezes about these very days."""
    early = CLIMATE.model_copy(update={"killing_freeze_day": 286.0, "killing_freeze_sd_days": 3.0})
    risky = replace(rules(), climate=early)
    before = only_call(morning(forecast, field_rules=risky))
    lost = with_hours(forecast, quantity, slice(first, first + length), np.nan)
    after = only_call(morning(lost, field_rules=risky))

    if after.call is Call.SPRAY:
        assert after.effect_pct <= before.effect_pct + 0.01
        assert after.back_of_line_pct >= before.back_of_line_pct - 0.01


def test_a_warm_eighth_night_cannot_beat_the_climate_and_a_frosty_one_counts():
    """The last night a forecast may hold lies past the week that a spray needs."""
    early = CLIMATE.model_copy(update={"killing_freeze_day": 287.0, "killing_freeze_sd_days": 2.0})
    risky = replace(rules(), climate=early)

    def later(low_f: float) -> float:
        lows = (56,) * 8 + (low_f,) * 2
        return only_call(morning(sky(lows_f=lows), field_rules=risky)).back_of_line_pct

    silent = with_hours(sky(), "window_low_f", slice(184, None), np.nan)
    unseen = only_call(morning(silent, field_rules=risky)).back_of_line_pct

    assert later(70) == pytest.approx(unseen, abs=0.5)
    assert later(20) < unseen - 5


@QUIET
@given(forecast=skies(), told=counts, ages=st.tuples(st.floats(0, 30), st.floats(0, 60)))
def test_ageing_never_turns_another_call_into_spray(forecast, told, ages):
    """The forecast and the visit both grow older by some hours."""
    older_h, visit_older_h = ages
    (issued,) = forecast.issued_utc
    before = only_call(morning(forecast, visits=[visit(nacb=told[0], percent_open=told[1])]))
    aged = replace(forecast, issued_utc=(issued - np.timedelta64(1, "h").item() * older_h,))
    visits = [visit(nacb=told[0], percent_open=told[1], days_ago=2 + visit_older_h / 24)]
    after = only_call(morning(aged, visits=visits))

    if before.call is not Call.SPRAY:
        assert after.call is not Call.SPRAY


@QUIET
@given(
    forecast=skies(),
    told=st.lists(counts, min_size=2, max_size=6),
    lost=st.integers(0, 5),
)
def test_a_lost_visit_makes_no_field_of_the_farm_a_spray(forecast, told, lost):
    """One field's missing record shortens the line for all; that may only calm the others."""
    fields = [cotton(number, acres=400) for number in range(len(told))]
    visits = [
        visit(one.id, nacb=nacb, percent_open=percent_open)
        for one, (nacb, percent_open) in zip(fields, told, strict=True)
    ]
    before = {one.field.id: one.call for one in morning(forecast, fields, visits).fields}
    kept = [one for index, one in enumerate(visits) if index != lost]
    after = {one.field.id: one.call for one in morning(forecast, fields, kept).fields}

    assert not [key for key in before if before[key] is not Call.SPRAY and after[key] is Call.SPRAY]


@QUIET
@given(
    high=st.integers(80, 92),
    low=st.integers(50, 60),
    wind=st.integers(3, 10),
    nacb=st.integers(0, 40).map(lambda tenths: tenths / 10),
    percent_open=st.integers(60, 100),
)
def test_complete_good_data_does_say_spray(high, low, wind, nacb, percent_open):
    """The twin without which a tool that never says spray would pass every law above.

    The week is at least as warm as the season's normal (80 and 50 F on 6 October here): in a
    colder one waiting for a normal week may rightly be better.
    """
    forecast = sky(highs_f=(high,) * 9, lows_f=(low,) * 10, wind_mph=wind)
    visits = [visit(nacb=nacb, percent_open=percent_open)]

    assert only_call(morning(forecast, visits=visits)).call is Call.SPRAY


@QUIET
@given(forecast=skies(), told=st.lists(counts, min_size=1, max_size=6))
def test_the_five_counts_sum_to_the_fields(forecast, told):
    fields = [cotton(number) for number in range(len(told))]
    visits = [
        visit(one.id, nacb=nacb, percent_open=percent_open)
        for one, (nacb, percent_open) in zip(fields, told, strict=True)
    ]
    report = morning(forecast, fields, visits)

    assert sum(report.run.counts.values()) == len(fields)
    assert sorted(one.field.id for one in report.fields) == sorted(one.id for one in fields)
    ranks = [one.rank for one in report.fields if one.rank is not None]
    assert ranks == list(range(1, len(ranks) + 1))


@QUIET
@given(
    dawn=st.integers(8, 9),
    low=st.integers(15, 24),
    rigs=st.integers(1, 3),
    count=st.integers(1, 12),
)
def test_a_nearer_sure_freeze_never_lowers_the_cost_of_a_full_window(dawn, low, rigs, count):
    """Freezes that leave the present week whole: on the eighth or the ninth morning."""
    fields = [cotton(number) for number in range(count)]

    def cost(freeze_on: int) -> float:
        lows_f = tuple(low if day >= freeze_on else 55 for day in range(10))
        call = morning(sky(lows_f=lows_f), fields, rigs=rigs).fields[0]
        assert call.call is Call.SPRAY
        return call.cost_pct

    assert cost(dawn) >= cost(dawn + 1) - 1e-9


@QUIET
@given(
    forecast=skies(), start=st.integers(0, 60), length=st.integers(1, 30), more=st.integers(1, 60)
)
def test_more_rain_chance_never_raises_an_effect(forecast, start, length, more):
    values = forecast.rain_chance_pct.copy()
    values[:, start : start + length] = np.minimum(100, values[:, start : start + length] + more)
    wetter = replace(forecast, rain_chance_pct=values)
    before, after = only_call(morning(forecast)), only_call(morning(wetter))

    if before.factors_back is not None and after.factors_back is not None:
        assert after.back_of_line_pct <= before.back_of_line_pct + 0.01
    full_before = {one.start_utc: one.effect_pct for one in before.windows if one.full}
    for window in after.windows:
        if window.full and window.start_utc in full_before:
            assert window.effect_pct <= full_before[window.start_utc] + 0.01


@pytest.mark.parametrize("fields", [1, 5, 12, 40])
def test_adding_a_rig_never_lengthens_the_line(fields):
    farm = [cotton(number, acres=160) for number in range(fields)]
    days = [morning(sky(), farm, rigs=rigs).run.queue_days for rigs in range(1, 8)]

    assert days == sorted(days, reverse=True)
    assert days[-1] >= 1


def test_two_rigs_halve_the_line_and_the_line_decides_how_late_the_back_is():
    """28.56 rig-hours: 8 days of one rig's 4 usable hours, 4 of two rigs' 8."""
    farm = [cotton(number, acres=160) for number in range(12)]
    one, two = (morning(sky(), farm, rigs=rigs) for rigs in (1, 2))

    assert (one.run.queue_days, two.run.queue_days) == (8, 4)
    assert one.fields[0].back_of_line_on > two.fields[0].back_of_line_on
    assert one.fields[0].back_of_line_pct < two.fields[0].back_of_line_pct


def test_the_age_of_a_count_does_not_lengthen_the_line():
    """NACB 7 is two weeks from mature at normal heat, whether counted today or last week: the
    line must not grow, and make others look urgent, because a record grew old."""
    farm = [cotton(number, acres=160) for number in range(12)]

    def days(days_ago: float) -> int:
        visits = [visit(one.id, nacb=7.0, percent_open=30, days_ago=days_ago) for one in farm]
        return morning(sky(), farm, visits).run.queue_days

    assert days(0.1) == days(6.5) == days(20)


def test_the_line_is_counted_by_hand():
    """12 fields of 160 ac, one rig of 12 mph x 90 ft x 0.65 / 8.25 = 85.09 ac/h, half an hour to
    set up each: 12 x (1.880 + 0.5) = 28.56 h; 8 h a day, half of it usable: 7.1, so 8 days.
    Our arithmetic on the formula of Kentucky AEN-73 (ac/h = mph x ft x efficiency / 8.25)."""
    run = morning(sky(), [cotton(number, acres=160) for number in range(12)]).run

    assert run.queue_rig_hours == pytest.approx(28.56, abs=0.01)
    assert run.usable_rig_hours_a_day == 4.0
    assert run.queue_days == 8
    assert POLICY.usable_share_frac == 0.5
