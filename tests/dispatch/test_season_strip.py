"""What is kept of a field's hours so that its season can be drawn later."""

from datetime import timedelta

import pytest
from skies import NOW, START, cotton, morning, only_call, rules, sky, visit, with_hours

from dispatch.report import Call, FieldCall, SeasonStrip
from farm.records import Spray

FREEZE_ON_DAY_4 = (56, 56, 54, 44, 30, 30, 30, 30, 30, 30)


def season_of(forecast, **more) -> SeasonStrip:
    season = only_call(morning(forecast, **more)).season
    assert season is not None
    return season


def test_the_hours_begin_with_the_first_that_can_still_be_worked():
    season = season_of(sky())
    assert season.start_utc == START + timedelta(hours=1) > NOW
    assert season.temp_f[0] == pytest.approx(56 + (57.3 - 56) * 0.5, abs=2)


def test_every_hour_has_one_entry_of_each_kind():
    season = season_of(sky())
    told = (
        *(season.temp_f, season.wind_mph, season.rain_chance_pct, season.workable, season.dry),
        *(season.free, season.spray, season.effect_pct),
    )
    assert {len(one) for one in told} == {215}


def test_hours_past_the_end_of_the_forecast_are_left_out():
    gone = sky(hourly_until_h=120)
    for name in ("wind_mph", "rain_chance_pct", "window_low_f"):
        gone = with_hours(gone, name, slice(120, None), float("nan"))
    assert len(season_of(gone).temp_f) == 119


def test_a_night_window_past_the_hourly_forecast_is_still_told():
    gone = sky(hourly_until_h=120)
    for name in ("wind_mph", "rain_chance_pct"):
        gone = with_hours(gone, name, slice(120, None), float("nan"))
    season = season_of(gone)
    assert season.temp_f[-1] is None
    assert season.nights[-1].low_f == 56


def test_an_evening_alone_is_not_told_as_the_low_of_its_night():
    """The hourly forecast ends at 9 pm, so that its last night has no low."""
    gone = with_hours(sky(hourly_until_h=111), "window_low_f", slice(90, None), float("nan"))
    nights = season_of(gone).nights
    assert nights[3].low_f == 56
    assert {night.low_f for night in nights[4:]} == {None}


def test_the_decision_span_says_what_the_short_strip_says():
    call = only_call(morning(sky(lows_f=FREEZE_ON_DAY_4)))
    assert call.strip is not None
    assert call.season is not None
    assert call.season.spray[: len(call.strip.spray)] == call.strip.spray
    assert call.season.temp_f[5] == pytest.approx(call.strip.temp_f[5], abs=0.05)


def test_gates_are_told_as_letters():
    season = season_of(with_hours(sky(), "wind_mph", slice(4, 5), float("nan")))
    # Sunrise is about 7:40 am and the strip begins at 7: work may begin at 10, which is not known.
    assert season.workable[:5] == "nnn?y"


def test_a_freeze_seen_closes_the_nights_before_it():
    season = season_of(sky(lows_f=FREEZE_ON_DAY_4))
    assert season.free[0] == "n"
    assert "y" not in season.free
    assert season_of(sky()).free[0] == "y"


def test_a_cold_night_has_worse_odds_than_the_warm_one_before_it():
    nights = season_of(sky(lows_f=FREEZE_ON_DAY_4)).nights
    assert [night.low_f for night in nights[:4]] == [56, 54, 44, 30]
    assert nights[0].freeze_pct < 1
    assert nights[3].freeze_pct > 50
    assert nights[3].killing_pct < nights[3].freeze_pct


def test_the_odds_of_the_nights_multiply_to_the_odds_of_the_week():
    call = only_call(morning(sky(lows_f=(56, 50, 45, 40, 38, 36, 35, 34, 33, 33))))
    assert call.season is not None
    alive = 1.0
    for night in call.season.nights[:7]:
        alive *= 1 - night.freeze_pct / 100
    assert 100 * (1 - alive) == pytest.approx(call.freeze.chance_7d_pct, abs=0.5)


def test_lows_are_those_of_the_field_in_its_hollow():
    season = season_of(sky(), fields=[cotton(cold_spot_f=3)])
    assert season.nights[0].low_f == 53


def test_no_hour_is_called_for_spraying_while_the_call_is_not_known():
    call = only_call(morning(sky(age_h=20)))
    assert call.call is Call.UNKNOWN
    assert call.season is not None
    assert set(call.season.spray) == {"no", "unknown"}
    assert set(call.season.effect_pct) == {None}
    assert only_call(morning(sky())).season.spray.count("full") > 5


def test_limits_are_those_the_field_was_judged_by():
    season = season_of(sky(), field_rules=rules(wind_max_mph=8.0, killing_f=26.0))
    assert (season.wind_max_mph, season.killing_f, season.freeze_f) == (8, 26, 32)


@pytest.mark.parametrize("age_h", [80, 200])
def test_a_forecast_too_old_to_show_has_no_season(age_h):
    assert only_call(morning(sky(age_h=age_h))).season is None


def test_a_sprayed_field_has_no_season():
    done = visit()
    spray = Spray(
        uuid=done.uuid, field_id="f1", sprayed_utc=NOW - timedelta(days=1), treatment_id="mix"
    )
    assert only_call(morning(sky(), sprays=[spray])).season is None


def test_a_plan_kept_before_there_were_seasons_can_still_be_read():
    call = only_call(morning(sky()))
    old = call.model_dump(mode="json", exclude={"season"})
    assert FieldCall.model_validate(old).season is None


def test_a_season_survives_being_kept():
    call = only_call(morning(sky()))
    assert FieldCall.model_validate_json(call.model_dump_json()) == call


def test_numbers_are_kept_to_a_tenth():
    season = season_of(sky())
    told = [*season.temp_f, *season.wind_mph, *season.effect_pct]
    assert [one for one in told if one is not None and round(one, 1) != one] == []
