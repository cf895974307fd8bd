"""Minutes of a rig's day: spraying, filling, driving, cleaning out, and the hours it works."""

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from pydantic import ValidationError
from rig_farms import BARE, START, day, job, problem, rig, window

from dispatch.routes.problem import Visit
from dispatch.routes.rig_days import drivers_of, rig_days
from dispatch.routes.timing import timed_day
from dispatch.routes.travel import geodesic_miles, travel_between
from dispatch.routes.work import ready_min, spray_min
from farm.rig import Rig

CHICAGO = ZoneInfo("America/Chicago")


def test_a_big_field_takes_the_time_of_the_printed_tank_cycle():
    """14 mph, 90 ft, 800 gal, 10 gal/ac, 20 min a fill: 82 ac/h (Western Producer, June 2015)."""
    printed = rig(speed_mph=14, swath_ft=90, efficiency_frac=0.85, tank_gal=800, refill_min=20)
    section = job("section", (0, 0), 640, gallons=6400)
    hours_h = (ready_min(printed, section, 0) + spray_min(printed, section)) / 60
    assert 640 / hours_h == pytest.approx(82, rel=0.03)


def test_a_nurse_truck_fills_once_before_and_then_between_tanks():
    filled = rig(tank_gal=500, refill_min=20)
    one = job("home", (0, 0), 60, gallons=1200)
    assert ready_min(filled, one, 10) == 30
    assert spray_min(filled, one) == 60 + 2 * 20


def test_a_rig_waits_for_the_window_and_leaves_no_sooner_than_it_must():
    asked = problem([job("far", (15, 0), 60, window(4, 8))], [day(rig())])
    told = timed_day(asked, asked.rig_days[0], (Visit(0, 0),))
    assert told is not None
    # 15 miles at 30 mph are 30 minutes; a degree here is 69 miles only nearly.
    assert (told.stops[0].start_min, told.stops[0].end_min) == (240, 300)
    assert told.leave_min == pytest.approx(210, abs=1)
    assert told.back_min == pytest.approx(330, abs=1)


@pytest.mark.parametrize(
    ("open_h", "close_h", "end_h", "fits"),
    [(0, 1.6, 13, True), (0, 1.4, 13, False), (0, 5, 2.1, True), (0, 5, 1.9, False)],
    ids=["in the window", "window too short", "in the day", "back too late"],
)
def test_all_of_the_spray_and_the_way_home_must_fit(open_h, close_h, end_h, fits):
    one = job("far", (14.9, 0), 60, window(open_h, close_h))
    asked = problem([one], [day(rig(), end_h=end_h)])
    assert (timed_day(asked, asked.rig_days[0], (Visit(0, 0),)) is not None) is fits


def test_a_spray_starts_no_later_than_its_effect_is_told_for():
    one = job("one", (15, 0), 30, window(0, 9, last_start_min=25))
    later = job("one", (15, 0), 30, window(0, 9, last_start_min=35))
    for told, fits in ((one, False), (later, True)):
        asked = problem([told], [day(rig())])
        assert (timed_day(asked, asked.rig_days[0], (Visit(0, 0),)) is not None) is fits


def test_another_mix_costs_a_cleanout_unless_it_may_follow():
    fields = [
        job("one", (0, 0), 60, window(0, 13), mix_id="aid-12"),
        job("two", (0, 0), 60, window(0, 13), mix_id="aid-24"),
    ]
    follows = rig(no_cleanout=[("aid-12", "aid-24")])
    for driven, wanted in ((rig(), 60 + 30), (follows, 60)):
        asked = problem(fields, [day(driven)])
        told = timed_day(asked, asked.rig_days[0], (Visit(0, 0), Visit(1, 0)))
        assert told is not None
        assert told.stops[1].start_min == wanted
    back = timed_day(asked, asked.rig_days[0], (Visit(1, 0), Visit(0, 0)))
    assert back is not None
    assert back.stops[1].start_min == 60 + 30


def test_a_rig_without_a_nurse_truck_drives_home_when_its_tank_would_not_do():
    driven = rig(tank_gal=500, refill_min=20, refill_at="yard")
    fields = [job(name, (15, 0), 30, window(0, 13), gallons=300) for name in ("one", "two")]
    asked = problem(fields, [day(driven)])
    told = timed_day(asked, asked.rig_days[0], (Visit(0, 0), Visit(1, 0)))
    assert told is not None
    first, second = told.stops
    assert (first.by_yard, second.by_yard) == (True, True)
    assert first.start_min == pytest.approx(20 + 30, abs=1)
    assert second.start_min == pytest.approx(first.end_min + 30 + 20 + 30, abs=2)
    assert second.miles == pytest.approx(30, abs=0.5)
    assert told.miles == pytest.approx(60, abs=0.5)


def test_a_tank_smaller_than_the_field_does_not_do_without_a_nurse_truck():
    fields = [job("one", (0, 0), 30, window(0, 13), gallons=600)]
    for at, fits in (("field", True), ("yard", False)):
        driven = rig(tank_gal=500, refill_min=20, refill_at=at)
        asked = problem(fields, [day(driven)])
        assert (timed_day(asked, asked.rig_days[0], (Visit(0, 0),)) is not None) is fits


def test_a_window_for_aircraft_is_none_for_a_ground_rig():
    fields = [job("one", (0, 0), 30, window(0, 13, kinds=("air",)))]
    for kind, fits in (("air", True), ("ground", False)):
        asked = problem(fields, [day(rig(kind=kind))])
        assert (timed_day(asked, asked.rig_days[0], (Visit(0, 0),)) is not None) is fits


def test_two_rigs_with_one_driver_send_the_quicker_one_and_say_so():
    slow = rig("slow", swath_ft=30, drivers=["dell"])
    quick = rig("quick", drivers=["dell"])
    days, words = rig_days([slow, quick], START, CHICAGO, 2)
    assert [(one.rig.id, one.driver) for one in days] == [("quick", "dell")] * 2
    assert words == (
        "slow rig stays in the yard (Tue, Wed): dell drives another rig then; "
        "enter another driver for it",
    )


def test_a_driver_who_may_drive_both_takes_the_one_nobody_else_may():
    quick = rig("quick", drivers=["dell", "ivy"])
    slow = rig("slow", swath_ft=30, drivers=["dell"])
    assert drivers_of([quick, slow]) == {"quick": "ivy", "slow": "dell"}


def test_days_off_and_hours_that_are_past_are_left_out():
    one = rig(days_off=["wed"], day_start="06:00", day_end="18:30")
    start = datetime(2026, 10, 6, 9, tzinfo=CHICAGO)
    days, _ = rig_days([one], start, CHICAGO, 3)
    told = [(each.on, each.start_min, each.end_min) for each in days]
    thursday = 2 * 24 * 60
    assert told == [
        (date(2026, 10, 6), 0, 570),
        (date(2026, 10, 8), thursday - 180, thursday + 570),
    ]


def test_hours_are_those_of_the_clock_when_it_goes_back():
    """Clocks of the United States go back on Sunday 1 November 2026."""
    start = datetime(2026, 10, 31, 7, tzinfo=CHICAGO)
    days, _ = rig_days([rig()], start, CHICAGO, 2)
    assert days[1].start_min == 25 * 60
    assert days[1].end_min - days[1].start_min == 13 * 60


def test_miles_are_those_of_the_ellipsoid_and_no_way_is_never_driven():
    """One minute of latitude is a nautical mile, 1.15 statute miles, by its old definition."""
    straight = geodesic_miles([(34.0, -100.0), (34 + 1 / 60, -100.0)])
    assert straight[0, 1] == pytest.approx(1.15, abs=0.01)
    asked = travel_between([(34.0, -100.0), (34.1, -100.0)], {}, 1.3, {(0, 1): float("inf")})
    assert asked.minutes(rig(), 0, 1) >= 7 * 24 * 60
    assert asked.minutes(rig(kind="air", road_mph=60), 0, 1) == 7
    assert asked.miles(rig(), 1, 0) == pytest.approx(1.3 * 6.9, abs=0.05)


def test_an_old_rig_without_the_new_keys_is_still_valid():
    old = Rig(id="wide", name="Wide", speed_mph=12, swath_ft=90)
    assert (old.day_start, old.day_end, old.travel_mph) == (time(7), time(20), 20.0)
    assert Rig.model_validate(old.model_dump(mode="json")) == old


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"yard_longitude": None}, "wanted both or neither"),
        ({"day_start": "20:00", "day_end": "07:00"}, 'day_end is "07:00", wanted after'),
    ],
)
def test_half_a_yard_and_a_day_that_ends_before_it_starts_are_refused(changed, words):
    with pytest.raises(ValidationError, match=words):
        rig(**changed)


def test_setup_is_counted_at_every_field():
    asked = problem(
        [job("one", (0, 0), 60, window(0, 13)), job("two", (0, 0), 60, window(0, 13))],
        [day(rig())],
        BARE.model_copy(update={"setup_min": 15.0}),
    )
    told = timed_day(asked, asked.rig_days[0], (Visit(0, 0), Visit(1, 0)))
    assert told is not None
    assert [one.start_min for one in told.stops] == [15, 90]
