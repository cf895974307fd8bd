"""The printed sheet of a rig's day: what the person who drives it must know."""

import re
from datetime import UTC, date, datetime, timedelta

import pytest

from agronomy.thresholds import SprayGates
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.words import LocalClock
from farm.field import Field
from farm.rig import Rig
from farm.treatment import Treatment
from notify.render import as_sheets
from notify.rig_sheet import CAUTIONS, FarmFacts, rig_sheet

TODAY = date(2026, 10, 6)
#: 7 am in Chicago.
START = datetime(2026, 10, 6, 12, tzinfo=UTC)
CLOCK = LocalClock("America/Chicago", "America/Chicago", TODAY)


def stop(field_id: str, hour: float, acres: float = 100, **changed) -> Stop:
    start = START + timedelta(hours=hour)
    told = {
        "field_id": field_id,
        "field_name": field_id.title(),
        "acres": acres,
        "mix_id": "mix",
        "arrive_utc": start - timedelta(minutes=30),
        "start_utc": start,
        "end_utc": start + timedelta(hours=1),
        "by_utc": START + timedelta(hours=9),
        "drive_min": 12,
        "miles": 4.2,
        "fills": 1,
        "effect_pct": 80,
        "worth_ac": 80,
        "full": True,
    }
    return Stop(**(told | changed))


def plan_of(*stops: Stop, **changed) -> RoutePlan:
    day = PlannedDay(
        rig_id="wide",
        rig_name="Wide rig",
        driver="Dell Pruitt",
        on=TODAY,
        leave_utc=START + timedelta(hours=2),
        back_utc=START + timedelta(hours=10),
        stops=stops,
        miles=4.2 * len(stops) + 3.5,
        acres=sum(one.acres for one in stops),
    )
    told = {
        "start_utc": START,
        "time_zone": "America/Chicago",
        "method": "searched",
        "days": (day,),
        "fields": len(stops),
        "acres": day.acres,
        "acres_full": day.acres,
        "worth_ac": 0,
        "miles": day.miles,
    }
    return RoutePlan(**(told | changed))


def rig(**changed) -> Rig:
    told = {"id": "wide", "name": "Wide rig", "speed_mph": 12, "swath_ft": 90, "tank_gal": 800}
    return Rig(**(told | changed))


def mix(**changed) -> Treatment:
    told = {"id": "mix", "name": "Example mix", "rain_free_h": 12, "gallons_per_acre": 10}
    return Treatment(**(told | changed))


def field(field_id: str, **changed) -> Field:
    told = {
        "id": field_id,
        "name": field_id.title(),
        "grower_id": "g",
        "latitude": 34.5,
        "longitude": -101.0,
        "acres": 100,
        "time_zone": "America/Chicago",
        "treatment_id": "mix",
    }
    return Field(**(told | changed))


def facts(**changed) -> FarmFacts:
    told = {"farm_name": "Sandhill Co-op", "rigs": {"wide": rig()}, "mixes": {"mix": mix()}}
    return FarmFacts(**(told | changed))


def sheet_of(plan: RoutePlan, told: FarmFacts):
    return rig_sheet(plan, plan.days[0], told, CLOCK)


def test_the_stops_stand_in_order_with_their_hours_in_local_time():
    sheet = sheet_of(plan_of(stop("north", 3), stop("south", 5.5)), facts())
    assert [one.name for one in sheet.stops] == ["North", "South"]
    first = sheet.stops[0]
    assert (first.come, first.spray, first.done, first.by) == ("9:30 am", "10 am", "11 am", "4 pm")
    assert first.way == "drive 4.2 mi, 12 min"
    assert sheet.totals == "Out 9 am, back 5 pm; 2 fields, 200 ac, 12 mi"
    assert sheet.home == "Drive home 3.5 mi, back 5 pm"
    assert (sheet.day, sheet.rig, sheet.driver) == ("Tue 6 Oct", "Wide rig", "Dell Pruitt")


@pytest.mark.parametrize(
    ("acres", "told"),
    [
        # 10 gal an acre, a tank of 800.
        (60, "600 gal: one load"),
        (80, "800 gal: one load"),
        (100, "1000 gal: loads 800 + 200"),
        (250, "2500 gal: loads 3 x 800 + 100"),
        (160, "1600 gal: loads 2 x 800"),
    ],
)
def test_loads_of_a_rig_with_a_nurse_truck_are_full_tanks_and_the_rest(acres, told):
    assert sheet_of(plan_of(stop("north", 3, acres)), facts()).stops[0].loads == told


def test_a_load_filled_at_the_yard_is_for_all_fields_up_to_the_next():
    stops = (
        stop("a", 3, 30, by_yard=True),
        stop("b", 5, 45, fills=0),
        stop("c", 7, 50, by_yard=True),
    )
    told = facts(rigs={"wide": rig(refill_at="yard")})
    first, second, third = sheet_of(plan_of(*stops), told).stops
    assert first.loads == "300 gal: fill 750 gal at the yard, for this and the next 1"
    assert second.loads == "450 gal, from the tank"
    assert third.loads == "500 gal: fill 500 gal at the yard"
    assert third.way == "drive 4.2 mi, 12 min, by the yard"


def test_what_was_not_entered_is_never_made_up():
    told = facts(mixes={"mix": mix(gallons_per_acre=None)})
    sheet = sheet_of(plan_of(stop("north", 3)), told)
    assert sheet.stops[0].loads == "gallons not known"
    assert sheet.mixes == (
        "Example mix: gallons an acre not entered, rain-free 12 h, re-entry not entered, read the "
        "label, before harvest not entered, read the label.",
    )
    entered = facts(mixes={"mix": mix(reentry_h=48, preharvest_days=7)})
    assert (
        "re-entry 48 h, before harvest 7 days" in sheet_of(plan_of(stop("a", 3)), entered).mixes[0]
    )
    assert "read the label" in sheet_of(plan_of(stop("a", 3)), facts(mixes={})).mixes[0]


def test_the_wind_limits_in_use_are_told_and_a_field_with_its_own_tells_them():
    strict = SprayGates(wind_max_mph=8, gust_max_mph=12)
    gates = {"a": SprayGates(), "b": strict, "c": SprayGates()}
    sheet = sheet_of(plan_of(*(stop(name, 3) for name in "abc")), facts(gates=gates))
    assert sheet.air.startswith("Spray only in wind of 3 to 10 mph, gusts to 15; from 1.5 h after")
    assert [bool(one.remarks) for one in sheet.stops] == [False, True, False]
    assert "Here: Spray only in wind of 3 to 8 mph, gusts to 12" in sheet.stops[1].remarks[0]
    assert "label" in sheet_of(plan_of(stop("a", 3)), facts()).air


def test_neighbours_short_windows_and_cleanouts_stand_with_the_stop():
    grown = {"north": field("north", sensitive="organic melons east side")}
    one = stop("north", 3, full=False, lacks="a freeze within 7 nights", cleanout_min=45)
    told = sheet_of(plan_of(one), facts(fields=grown)).stops[0]
    assert told.sensitive == "organic melons east side"
    assert told.remarks == ("SHORT: a freeze within 7 nights", "Clean out before it, 45 min")


def test_what_is_done_under_way_or_fixed_says_so():
    stops = (stop("a", 1, state="done"), stop("b", 3, state="under_way"), stop("c", 5, locked=True))
    told = [one.remarks for one in sheet_of(plan_of(*stops), facts()).stops]
    assert told == [("DONE",), ("UNDER WAY when this was planned",), ("The time is fixed",)]


def test_a_kept_plan_tells_its_number_so_that_an_older_sheet_is_known():
    kept = plan_of(stop("a", 3), revision=4, made_utc=START - timedelta(minutes=50))
    assert sheet_of(kept, facts()).made == (
        "Plan 4, made Tue 6 Oct 6:10 am. A later plan replaces it."
    )


@pytest.mark.parametrize(
    ("count", "size"), [(6, "usual"), (7, "small"), (10, "tiny"), (16, "dense")]
)
def test_a_long_day_is_set_smaller_to_stay_on_its_page(count, size):
    stops = [stop(f"f{number}", 3) for number in range(count)]
    assert sheet_of(plan_of(*stops), facts()).size == size


def test_the_page_has_the_cautions_no_colour_and_nothing_from_elsewhere():
    grown = {"north": field("north", sensitive="bees <b>north</b>")}
    plan = plan_of(stop("north", 3, field_name="<script>x</script>{{ 1 }}"))
    sheets = [sheet_of(plan, facts(fields=grown))] * 2
    page = as_sheets(sheets, "Sheets <1>")
    assert page.count("<section") == 2
    for caution in CAUTIONS:
        assert caution in page
    assert "MIND BESIDE IT: bees &lt;b&gt;north&lt;/b&gt;" in page
    assert "<script>" not in page
    assert set(re.findall(r"#[0-9a-fA-F]{3,6}\b", page)) == {"#000", "#fff"}
    assert not re.search(r"src=|href=|url\(|@import|http", page)
    assert not re.search(r"\b(red|green|amber|orange|yellow)\b", page)
