"""Plans of rigs that go on from the plan before: what stays, what moves, and why."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from by_force import Steps
from mornings_for_rigs import fleet, good_morning, since
from rig_farms import rig

from dispatch.report import Call, MorningReport
from dispatch.routes.change_check import check_change
from dispatch.routes.plan import Change, RoutePlan, Stop
from dispatch.routes.rig_plan import plan_rigs
from dispatch.routes.standing import Lock, Outage, Standing

TWO = fleet(
    rig("wide", tank_gal=1000, refill_min=20),
    rig("small", swath_ft=40, tank_gal=600, refill_min=20),
)
HOUR = timedelta(hours=1)


@pytest.fixture(scope="module")
def report() -> MorningReport:
    return good_morning(6)


@pytest.fixture(scope="module")
def first(report) -> RoutePlan:
    plan = plan_rigs(report, TWO, since(), Steps(60))
    assert plan.fields == 6
    assert {one.rig_id for one in plan.days} == {"wide", "small"}
    return plan


def stops_of(plan: RoutePlan) -> dict[str, tuple[str, Stop]]:
    return {stop.field_id: (day.rig_id, stop) for day in plan.days for stop in day.stops}


def again(report, first, hours_h=0.0, told=TWO, steps=60, **standing) -> RoutePlan:
    return plan_rigs(
        report, told, since(hours_h, standing=Standing(plan=first, **standing)), Steps(steps)
    )


def why(plan: RoutePlan) -> dict[str, Change]:
    return {one.field_id: one for one in plan.changes}


def first_stop(plan: RoutePlan, rig_id: str, at: int = 0) -> Stop:
    return next(one for one in plan.days if one.rig_id == rig_id).stops[at]


@pytest.mark.parametrize("hours_h", [0, 1, 3.3, 4.6, 5.9, 7.2])
def test_the_same_again_moves_nothing(report, first, hours_h):
    told = again(report, first, hours_h)
    assert told.changes == ()
    before = {name: (rig_id, one.start_utc) for name, (rig_id, one) in stops_of(first).items()}
    after = {name: (rig_id, one.start_utc) for name, (rig_id, one) in stops_of(told).items()}
    assert after == before


def test_a_rig_that_breaks_gives_its_fields_to_the_other_and_says_so(report, first):
    breaks = first_stop(first, "wide").start_utc
    told = again(report, first, 0.5, outages=(Outage("wide", breaks, None, "boom"),))
    assert {rig_id for rig_id, _ in stops_of(told).values()} == {"small"}
    gone = {name for name, (rig_id, _) in stops_of(first).items() if rig_id == "wide"}
    assert gone <= set(why(told))
    assert all("wide rig is out from" in why(told)[one].why for one in gone)
    assert all("(boom)" in why(told)[one].why for one in gone)
    kept = set(stops_of(first)) - gone
    for name in kept & set(why(told)):
        assert "comes before it now" in why(told)[name].why or "goes to" in why(told)[name].why


def test_stops_done_or_under_way_stay_as_they_were(report, first):
    stop = first_stop(first, "wide")
    now_h = (stop.start_utc - since().now) / HOUR + 0.2
    told = again(report, first, now_h, outages=())
    assert stops_of(told)[stop.field_id][1].state == "under_way"
    done = again(report, first, now_h, sprayed={stop.field_id: stop.end_utc})
    assert stops_of(done)[stop.field_id][1].state == "done"
    same = stops_of(done)[stop.field_id][1].model_copy(update={"state": "planned"})
    assert same == stop


def test_a_rig_that_breaks_at_work_leaves_the_field_to_be_planned_again(report, first):
    stop = first_stop(first, "wide")
    breaks = stop.start_utc + (stop.end_utc - stop.start_utc) / 2
    now_h = (breaks - since().now) / HOUR + 0.1
    told = again(report, first, now_h, outages=(Outage("wide", breaks),))
    rig_id, moved = stops_of(told)[stop.field_id]
    assert (rig_id, moved.state) == ("small", "planned")
    assert moved.start_utc > breaks
    assert "wide rig is out from" in why(told)[stop.field_id].why


def test_a_rig_back_by_tomorrow_is_planned_from_then_on(report, first):
    out = Outage("wide", since().now, since().now + timedelta(hours=20))
    told = again(report, first, 0.2, outages=(out, Outage("small", since().now)))
    found = [stop.arrive_utc for rig_id, stop in stops_of(told).values() if rig_id == "wide"]
    assert found
    assert min(found) >= out.until_utc


def test_a_rig_that_is_back_sooner_takes_fields_and_says_so(report, first):
    gone = tuple(Outage(rig_id, since().now) for rig_id in ("wide", "small"))
    none = again(report, first, 0.2, outages=gone)
    assert none.fields == 0
    back = Outage("wide", since().now, since(0.5).now)
    told = again(report, none, 0.5, outages=(back, gone[1]))
    assert told.fields > 0
    assert {one.what for one in told.changes} == {"new"}
    assert all(one.why.startswith("wide rig is back from Tue 6:40 am") for one in told.changes)


def test_a_lock_holds_its_rig_its_day_and_its_time(report, first):
    stop = first_stop(first, "small")
    day = next(one for one in first.days if one.rig_id == "small")
    lock = Lock(stop.field_id, "small", day.on, stop.start_utc)
    quick = rig("quick", swath_ft=200, tank_gal=4000, refill_min=5)
    more = replace(TWO, rigs=(*TWO.rigs, quick), settings=TWO.settings.model_copy(
        update={"stay_ac": 0.0}))  # fmt: skip
    told = again(report, first, 0.2, told=more, steps=400, locks=(lock,))
    rig_id, held = stops_of(told)[stop.field_id]
    assert "quick" in {one for one, _ in stops_of(told).values()}
    assert not [one for one in told.notes if "broke a rule" in one]
    assert rig_id == "small"
    assert held.locked
    assert abs(held.start_utc - stop.start_utc) <= timedelta(minutes=30)


@pytest.mark.parametrize(
    ("field", "standing", "words"),
    [
        ("f9", {}, "not to be sprayed"),
        ("f1", {"skipped": {"f1": "gate shut"}}, "skipped: gate shut"),
    ],
)
def test_a_lock_that_cannot_hold_is_one_line_and_the_rest_is_planned(
    report, first, field, standing, words
):
    known = field if field in stops_of(first) else "f2"
    rig_id, stop = stops_of(first)[known]
    if known != field:
        standing = {"skipped": {known: ""}}
        words = "skipped"
    day = next(one for one in first.days if one.rig_id == rig_id)
    lock = Lock(known, rig_id, day.on, stop.start_utc)
    told = again(report, first, 0.2, locks=(lock,), **standing)
    lines = [one for one in told.notes if one.startswith("lock ")]
    assert len(lines) == 1
    assert words in lines[0]
    assert told.fields == 5


def test_a_lock_against_an_outage_says_so(report, first):
    rig_id, stop = stops_of(first)["f1"]
    day = next(one for one in first.days if one.rig_id == rig_id)
    lock = Lock("f1", rig_id, day.on, stop.start_utc)
    told = again(report, first, 0.2, locks=(lock,), outages=(Outage(rig_id, since().now),))
    lines = [one for one in told.notes if one.startswith("lock ")]
    assert len(lines) == 1
    assert "is out from" in lines[0]
    assert "f1" in stops_of(told)


def changed(report: MorningReport, field_id: str, **told: object) -> MorningReport:
    fields = tuple(
        one.model_copy(update=told) if one.field.id == field_id else one for one in report.fields
    )
    return report.model_copy(update={"fields": fields})


def test_a_call_that_is_withdrawn_drops_the_field_and_says_so(report, first):
    told = again(changed(report, "f3", call=Call.WAIT), first, 0.2)
    assert "f3" not in stops_of(told)
    assert why(told)["f3"].what == "dropped"
    assert why(told)["f3"].why == "its call is now wait"


def test_hours_that_are_lost_move_the_field_and_say_so(report, first):
    _, stop = stops_of(first)["f3"]
    call = next(one for one in report.fields if one.field.id == "f3")
    season = call.season
    assert season is not None
    hour = int((stop.start_utc - season.start_utc) / HOUR)
    around = range(hour - 9, hour + 9)
    lost = {
        "workable": "".join("n" if at in around else one for at, one in enumerate(season.workable)),
        "spray": tuple("no" if at in around else one for at, one in enumerate(season.spray)),
    }
    fresh = changed(report, "f3", season=season.model_copy(update=lost))
    told = again(fresh, first, 0.2)
    assert why(told)["f3"].why.startswith("its window then is gone: ")
    assert "not known to be workable" in why(told)["f3"].why


def test_a_field_sprayed_out_of_turn_makes_room_and_says_so(report, first):
    _, stop = stops_of(first)["f4"]
    told = again(report, first, 0.2, sprayed={"f4": since().now})
    assert "f4" not in stops_of(told)
    assert why(told)["f4"].why.startswith("sprayed ")
    assert stop.start_utc > since(0.2).now


def test_a_field_that_was_missed_is_planned_again(report, first):
    stop = first_stop(first, "wide")
    now_h = (stop.end_utc - since().now) / HOUR + 0.1
    told = again(report, first, now_h, missed={stop.field_id: "pump"})
    assert stops_of(told)[stop.field_id][1].start_utc > stop.end_utc
    assert why(told)[stop.field_id].why == "it was not sprayed then: pump"
    silent = again(report, first, now_h)
    assert stops_of(silent)[stop.field_id][1] == stop.model_copy(update={"state": "under_way"})
    assert any("no spray is logged" in one for one in silent.notes)


def test_a_new_field_is_new_and_the_others_stay(report, first):
    told = again(good_morning(7), first, 0.2)
    assert why(told)["f7"].what == "new"
    assert why(told)["f7"].why == "called since the plan before"
    moved = [one for one in told.changes if one.what == "moved"]
    rigs = {one.before.rig_id == one.after.rig_id for one in moved}
    assert rigs <= {True}


SPOILED = {
    "was changed": lambda stop, _: {"end_utc": stop.end_utc + timedelta(minutes=1)},
    "planned again": lambda *_: {"state": "planned"},
}


@pytest.mark.parametrize("words", SPOILED)
def test_a_fixed_stop_that_is_touched_is_found_out(report, first, words):
    stop = first_stop(first, "wide")
    now = stop.start_utc + timedelta(minutes=1)
    standing = Standing(plan=first)
    told = again(report, first, (now - since().now) / HOUR)
    fixed = [
        day.model_copy(update={"stops": tuple(one for one in day.stops if one.state != "planned")})
        for day in told.days
    ]
    assert check_change(told, standing, now, fixed) == []
    spoiled = with_stop(told, stop.field_id, SPOILED[words](stop, now))
    assert any(words in one for one in check_change(spoiled, standing, now, fixed))
    away = told.model_copy(update={"days": ()})
    assert any("leaves it away" in one for one in check_change(away, standing, now, fixed))


def with_stop(plan: RoutePlan, field_id: str, told: dict[str, object]) -> RoutePlan:
    days = tuple(
        day.model_copy(
            update={
                "stops": tuple(
                    one.model_copy(update=told) if one.field_id == field_id else one
                    for one in day.stops
                )
            }
        )
        for day in plan.days
    )
    return plan.model_copy(update={"days": days})


def test_what_stands_against_a_plan_is_found_out(first):
    rig_id, stop = stops_of(first)["f1"]
    day = next(one for one in first.days if one.rig_id == rig_id)
    now: datetime = since().now
    lock = Lock("f1", rig_id, day.on, stop.start_utc - timedelta(minutes=40))
    found = {
        "begins before now": check_change(first, Standing(), stop.start_utc + HOUR),
        "is out then": check_change(
            first, Standing(outages=(Outage(rig_id, stop.start_utc),)), now
        ),
        "locked to its time": check_change(first, Standing(), now, (), (lock,), 30),
        "locked to other": check_change(
            first, Standing(), now, (), (replace(lock, rig_id="other"),), 60
        ),
        "locked, and not planned": check_change(
            first, Standing(), now, (), (replace(lock, field_id="f99"),), 60
        ),
        "it is skipped": check_change(first, Standing(skipped={"f1": ""}), now),
        "it was sprayed": check_change(first, Standing(sprayed={"f1": now}), now),
    }
    assert check_change(first, Standing(), now) == []
    for words, told in found.items():
        assert any(words in one for one in told), words
