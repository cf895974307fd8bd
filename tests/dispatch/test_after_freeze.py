"""Fields that a killing freeze has hit: looked at after 5 to 8 days, never sprayed before.

Days and signs: North Carolina State, Frost on cotton (S24); Georgia, Appling County 2014 (S24b).
"""

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skies import NOW, cotton, morning, only_call, sky, visit, with_hours
from test_laws import QUIET, counts, skies

from dispatch.report import Call
from farm.records import Freeze, FreezeInspection, Spray

TODAY = date(2026, 10, 6)


def frozen(days_ago: float, low_f: float | None = 24.0, told_by: str = "person") -> Freeze:
    return Freeze(
        uuid=uuid4(),
        field_id="f1",
        froze_utc=NOW - timedelta(days=days_ago),
        low_f=low_f,
        told_by=told_by,
    )


def looked(days_ago: float, found: str) -> FreezeInspection:
    return FreezeInspection(
        uuid=uuid4(), field_id="f1", inspected_utc=NOW - timedelta(days=days_ago), found=found
    )


def call_after(*freezes, looks=(), forecast=None, **more):
    return only_call(
        morning(forecast or sky(), freezes={"f1": freezes}, inspections={"f1": looks}, **more)
    )


def test_a_good_field_leaves_the_order_once_it_froze_and_is_looked_at_after_five_days():
    assert only_call(morning(sky())).call is Call.SPRAY

    call = call_after(frozen(3))

    assert (call.call, call.standing, call.rank) == (Call.WAIT, "frozen", None)
    assert call.after_freeze.inspect_from == date(2026, 10, 8)
    assert call.after_freeze.inspect_until == date(2026, 10, 11)
    assert not call.after_freeze.due_today
    assert call.wait_until == date(2026, 10, 8)
    assert call.reasons == (
        "Killing freeze Sat (24F at the field).",
        "Spend nothing on it until the effect shows: look at it 8-11 Oct.",
    )


@pytest.mark.parametrize(("days", "due"), [(4, False), (5, True), (8, True), (20, True)])
def test_the_look_is_due_from_the_fifth_day_until_it_is_taken(days, due):
    call = call_after(frozen(days))

    assert call.after_freeze.due_today is due
    assert call.to_do.startswith("Look at it today. Flick the leaves") is due


def test_what_the_look_found_decides():
    alive = call_after(frozen(6), looks=[looked(1, "alive")])
    killed = call_after(frozen(6), looks=[looked(1, "killed")])
    unclear = call_after(frozen(6), looks=[looked(1, "unclear")])

    assert (alive.call, alive.standing, alive.rank) == (Call.SPRAY, "open", 1)
    assert (killed.standing, killed.after_freeze.found) == ("frozen", "killed")
    assert killed.wait_until is None
    assert "Found killed Mon: out of the order for this season." in killed.reasons
    assert (unclear.standing, unclear.after_freeze.due_today) == ("frozen", True)


def test_a_look_before_the_freeze_and_one_before_the_last_freeze_say_nothing():
    assert call_after(frozen(6), looks=[looked(7, "alive")]).standing == "frozen"
    twice = call_after(frozen(9), frozen(2), looks=[looked(4, "alive")])
    assert (twice.standing, twice.after_freeze.inspect_from) == ("frozen", date(2026, 10, 9))


def test_a_look_taken_today_is_not_asked_for_again_and_one_of_yesterday_is():
    assert not call_after(frozen(6), looks=[looked(0.1, "unclear")]).after_freeze.due_today
    assert call_after(frozen(6), looks=[looked(1, "unclear")]).after_freeze.due_today


def test_what_happens_at_the_very_moment_of_a_freeze():
    """A look then counts, a spray then came first."""
    spray = Spray(
        uuid=uuid4(), field_id="f1", sprayed_utc=NOW - timedelta(days=3), treatment_id="mix"
    )

    assert call_after(frozen(3), looks=[looked(3, "alive")]).standing == "open"
    assert call_after(frozen(3), sprays=[spray]).after_freeze is None


@pytest.mark.parametrize("later_h", [-2, 0, 2])
def test_of_one_morning_a_persons_word_stands_and_the_forecasts_does_not(later_h):
    by_forecast = frozen(3 - later_h / 24, 20.0, told_by="forecast")

    assert not call_after(by_forecast).after_freeze.confirmed
    both = call_after(by_forecast, frozen(3, 26.0)).after_freeze
    assert (both.confirmed, both.low_f) == (True, 26.0)
    assert call_after(by_forecast, frozen(3, 31.0)).standing == "open"
    assert not call_after(by_forecast, frozen(5, 26.0)).after_freeze.confirmed


def test_a_freeze_on_record_this_morning_goes_before_the_forecast_of_it():
    cold_now = sky(lows_f=(25,) + (56,) * 9)

    assert call_after(frozen(0, 30.0), forecast=cold_now).standing == "open"
    assert call_after(frozen(2, 30.0), forecast=cold_now).standing == "frozen"


def test_the_killing_line_itself_kills_and_a_day_old_forecast_still_tells():
    at_the_line = sky(lows_f=(28,) + (56,) * 9)

    assert only_call(morning(at_the_line)).standing == "frozen"
    assert only_call(morning(sky(lows_f=(29,) + (56,) * 9))).standing == "open"
    assert only_call(morning(sky(lows_f=(25,) + (56,) * 9, age_h=24))).standing == "frozen"


def test_a_light_frost_holds_nothing_and_a_reported_freeze_without_a_low_does():
    """A few degrees under 32 F is often not terminal (S23); 28 F is the killing line (S27)."""
    assert call_after(frozen(3, 30.0)).call is Call.SPRAY
    assert call_after(frozen(3, 28.1)).call is Call.SPRAY
    assert call_after(frozen(3, 28.0)).standing == "frozen"
    assert call_after(frozen(3, None)).standing == "frozen"


def test_a_freeze_of_this_morning_that_only_the_forecast_tells_holds_the_field():
    cold_now = sky(lows_f=(25,) + (56,) * 9)

    call = only_call(morning(cold_now))

    assert (call.call, call.standing) == (Call.WAIT, "frozen")
    assert not call.after_freeze.confirmed
    assert call.after_freeze.low_f == 25.0
    assert "nobody has confirmed it" in call.reasons[0]
    assert "log the freeze, or that you found it alive" in call.to_do


def test_the_cold_spot_of_a_field_counts_in_the_night_that_is_ending():
    mild = sky(lows_f=(30,) + (56,) * 9)

    assert only_call(morning(mild)).standing == "open"
    assert only_call(morning(mild, [cotton(cold_spot_f=3)])).standing == "frozen"


def test_a_forecast_too_old_for_a_call_tells_of_no_freeze():
    cold_now = sky(lows_f=(25,) + (56,) * 9, age_h=30)

    assert only_call(morning(cold_now)).standing == "open"
    assert only_call(morning(cold_now)).call is Call.UNKNOWN


def test_a_night_that_is_ending_and_not_known_whole_is_no_spray():
    call = only_call(morning(with_hours(sky(), "temp_f", slice(0, 1), np.nan)))

    assert call.call is Call.UNKNOWN
    assert call.because == (
        "The night that is ending is not known whole, so a killing freeze in it is not ruled out.",
    )


def test_an_evening_run_asks_nothing_of_the_night_that_is_past():
    """At 8 pm the next sunrise belongs to the night ahead."""
    later = NOW + timedelta(hours=14)
    forecast = replace(sky(lows_f=(56, 56) + (56,) * 8), start_utc=later.replace(minute=0))

    assert only_call(morning(forecast, now=later)).standing == "open"


def test_a_confirmed_freeze_takes_a_field_out_of_the_line_and_one_only_forecast_does_not():
    farm = [cotton(number, acres=400) for number in (1, 2, 3)]
    visits = [visit(one.id) for one in farm]

    def rig_hours(told_by: str) -> float:
        freezes = {"f1": (frozen(2, told_by=told_by),)}
        return morning(sky(), farm, visits, freezes=freezes).run.queue_rig_hours

    assert rig_hours("person") == pytest.approx(rig_hours("forecast") * 2 / 3, abs=0.02)


def test_a_sprayed_field_that_froze_is_followed_up_and_told_so():
    spray = Spray(
        uuid=uuid4(), field_id="f1", sprayed_utc=NOW - timedelta(days=6), treatment_id="mix"
    )

    after = call_after(frozen(3), sprays=[spray])
    before = call_after(frozen(8), sprays=[spray])

    assert after.standing == before.standing == "sprayed"
    assert "Killing freeze Sat (24F), 3 days after the spray: its work has ended." in after.reasons
    assert before.after_freeze is None


def test_frozen_fields_stand_before_the_sprayed_ones_and_the_counts_sum():
    farm = [cotton(number) for number in (1, 2, 3)]
    spray = Spray(
        uuid=uuid4(), field_id="f2", sprayed_utc=NOW - timedelta(days=6), treatment_id="mix"
    )
    report = morning(sky(), farm, sprays=[spray], freezes={"f1": (frozen(2),)})

    assert [one.standing for one in report.fields] == ["open", "frozen", "sprayed"]
    assert (report.run.frozen, report.run.sprayed, report.run.picked) == (1, 1, 0)
    assert sum(report.run.counts.values()) == 3


@QUIET
@given(
    forecast=skies(),
    told=counts,
    low=st.one_of(st.none(), st.floats(-5, 28)),
    days=st.floats(0, 60),
    found=st.sampled_from([None, "killed", "unclear"]),
)
def test_no_sky_and_no_count_sprays_a_field_that_froze(forecast, told, low, days, found):
    looks = [] if found is None else [looked(days / 2, found)]
    visits = [visit(nacb=told[0], percent_open=told[1])]
    call = call_after(frozen(days, low), looks=looks, forecast=forecast, visits=visits)

    assert call.call is Call.WAIT
    assert call.rank is None
