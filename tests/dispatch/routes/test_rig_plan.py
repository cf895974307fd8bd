"""From a morning to a checked plan: who is planned, who is left out, and why."""

from dataclasses import replace
from datetime import timedelta

import pytest
from by_force import Steps
from mornings_for_rigs import fleet, good_morning, since
from rig_farms import BARE, day, job, problem, rig, window

from dispatch.policy import HarvestCapacity
from dispatch.report import Call, MorningReport
from dispatch.routes import rig_plan
from dispatch.routes.left_out import left_out_fields
from dispatch.routes.plan import RoutePlan
from dispatch.routes.planner import best_routes
from dispatch.routes.problem import RouteProblem
from dispatch.routes.rig_plan import BrokenPlanError, plan_rigs
from dispatch.routes.sky_check import check_sky
from dispatch.routes.what_if import cases, row_of, with_rigs

HOUR = timedelta(hours=1)


def planned(plan: RoutePlan) -> set[str]:
    return {stop.field_id for one in plan.days for stop in one.stops}


def changed(report: MorningReport, field_id: str, **told: object) -> MorningReport:
    fields = tuple(
        one.model_copy(update=told) if one.field.id == field_id else one for one in report.fields
    )
    return report.model_copy(update={"fields": fields})


@pytest.fixture(scope="module")
def report() -> MorningReport:
    told = good_morning()
    assert [one.call for one in told.fields] == [Call.SPRAY] * 3
    return told


def test_a_good_morning_with_time_enough_plans_every_field(report):
    plan = plan_rigs(report, fleet(), since(), Steps(100))
    assert planned(plan) == {"f1", "f2", "f3"}
    assert plan.left_out == ()
    assert plan.acres == pytest.approx(70 + 80 + 90)


@pytest.mark.parametrize("call", [Call.LOOK, Call.WAIT, Call.UNKNOWN])
def test_only_fields_called_are_planned(report, call):
    told = changed(report, "f2", call=call)
    plan = plan_rigs(told, fleet(), since(), Steps(20))
    assert planned(plan) == {"f1", "f3"}
    assert "f2" not in {one.field_id for one in plan.left_out}


def test_a_field_that_is_held_for_the_harvest_is_left_out_and_says_so(report):
    plan = plan_rigs(changed(report, "f2", held_for_harvest=True), fleet(), since(), Steps(20))
    assert planned(plan) == {"f1", "f3"}
    (left,) = plan.left_out
    assert (left.field_id, left.why) == ("f2", "the harvest has no room for it today")
    assert "acres_per_day" in HarvestCapacity.model_fields
    assert "[harvest] acres_per_day" in left.would_change


def test_what_was_sprayed_or_frozen_since_the_morning_is_not_planned(report):
    told = since(sprayed=frozenset({"f1"}), frozen=frozenset({"f2"}))
    plan = plan_rigs(report, fleet(), told, Steps(20))
    assert planned(plan) == {"f3"}
    assert [(one.field_id, one.why) for one in plan.left_out] == [
        ("f2", "a killing freeze was logged since the morning")
    ]


def test_no_rig_is_sent_on_a_forecast_that_has_grown_too_old(report):
    """It was 3 h old in the morning; past 12 h no field is called."""
    fresh = plan_rigs(report, fleet(), since(8.5), Steps(20))
    old = plan_rigs(report, fleet(), since(9.5), Steps(20))
    assert fresh.fields == 3
    assert (old.fields, len(old.left_out)) == (0, 3)
    assert old.left_out[0].why == "its forecast is 12 h old, too old to send a rig on"


def test_hours_that_have_passed_are_not_planned(report):
    plan = plan_rigs(report, fleet(), since(5), Steps(20))
    assert min(one.leave_utc for one in plan.days) >= since(5).now


def test_lost_hours_never_bring_a_field_a_rig(report):
    season = report.fields[0].season
    assert season is not None
    unknown = season.model_copy(
        update={"workable": "?" * len(season.workable), "spray": ("unknown",) * len(season.spray)}
    )
    one = report.fields[0].field.id
    for told in (unknown, None):
        plan = plan_rigs(changed(report, one, season=told), fleet(), since(), Steps(20))
        assert one not in planned(plan)
        assert one in {left.field_id for left in plan.left_out}


def test_yards_tanks_and_gallons_that_are_missing_are_each_told_in_a_line(report):
    bare = rig(yard_latitude=None, yard_longitude=None)
    told = fleet(bare)
    told = replace(
        told,
        treatments={"mix": told.treatments["mix"].model_copy(update={"gallons_per_acre": None})},
    )
    plan = plan_rigs(report, told, since(), Steps(20))
    assert plan.fields == 3
    words = "\n".join(plan.notes)
    assert "wide rig has no yard entered: it starts from the middle of the fields" in words
    assert "wide rig has no tank_gal or no refill_min entered" in words
    assert "Mix one has no gallons_per_acre entered" in words


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        ({"call": Call.WAIT}, "its call is wait"),
        ({"held_for_harvest": True}, "the harvest has no room"),
        ({"season": None}, "its hours are not known"),
    ],
)
def test_a_plan_the_morning_does_not_bear_out_is_found_out(report, spoil, words):
    plan = plan_rigs(report, fleet(), since(), Steps(20))
    assert check_sky(report, plan) == []
    assert [one for one in check_sky(changed(report, "f1", **spoil), plan) if words in one]


@pytest.mark.parametrize(
    ("letters", "words"),
    [
        ({"workable": "?"}, "hours not known to be workable"),
        ({"dry": "n"}, "not seen from its end"),
        ({"free": "?"}, "not seen from its end"),
    ],
)
def test_every_hour_of_a_spray_is_held_against_the_morning(report, letters, words):
    plan = plan_rigs(report, fleet(), since(), Steps(20))
    season = report.fields[0].season
    assert season is not None
    whole = {name: one * len(season.workable) for name, one in letters.items()}
    spoilt = changed(report, "f1", season=season.model_copy(update=whole))
    assert any(words in one for one in check_sky(spoilt, plan))


def test_a_plan_moved_out_of_its_hours_is_found_out(report):
    plan = plan_rigs(report, fleet(), since(), Steps(20))
    first = plan.days[0].stops[0]
    moved = first.model_copy(
        update={"start_utc": first.start_utc + 12 * HOUR, "end_utc": first.end_utc + 12 * HOUR}
    )
    days = (plan.days[0].model_copy(update={"stops": (moved,)}),)
    assert check_sky(report, plan.model_copy(update={"days": days}))


def test_a_searched_plan_that_breaks_a_rule_is_never_shown(report, monkeypatch):
    real = rig_plan._broken

    def broken(told, asked, plan):
        return ["made to fail"] if plan.method == "searched" else real(told, asked, plan)

    monkeypatch.setattr(rig_plan, "_broken", broken)
    plan = plan_rigs(report, fleet(), since(), Steps(20))
    assert plan.method == "greedy"
    assert "broke a rule and was thrown away (made to fail)" in plan.notes[-1]
    monkeypatch.setattr(rig_plan, "_broken", lambda *_: ["made to fail"])
    with pytest.raises(BrokenPlanError, match="made to fail; no plan is shown"):
        plan_rigs(report, fleet(), since(), Steps(20))


YARDED = rig(tank_gal=500, refill_min=20, refill_at="yard")


@pytest.mark.parametrize(
    ("asked", "why", "would_change"),
    [
        pytest.param(problem([job("one", (0, 0), 60)], [day(rig())]),
                     "no hours to spray it in the next 4 days", "later freeze", id="no hours"),
        pytest.param(problem([job("one", (0, 0), 60, window(0, 5, kinds=("air",)))], [day(rig())]),
                     "too wet for a rig on wheels", "a rig that flies", id="wet ground"),
        pytest.param(problem([job("one", (0, 0), 60, window(0, 5), gallons=600)], [day(YARDED)]),
                     "takes 600 gal, more than any tank", "a nurse truck", id="small tank"),
        pytest.param(problem([job("one", (0, 0), 120, window(0, 1.5))], [day(rig())]),
                     "its longest window is 1.5 h, the quickest rig needs 2 h", "a quicker rig",
                     id="short window"),
        pytest.param(problem([job("one", (0, 0), 60, window(2.5, 3.8))], [day(rig(), end_h=3)]),
                     "no rig can be there and back in its working hours", "a longer day on Tue",
                     id="short day"),
        pytest.param(problem([job("one", (60, 0), 10, window(0, 9))], [day(rig())],
                             BARE.model_copy(update={"mile_cost_ac": 0.2})),
                     "the drive costs more", "on the same way", id="too far"),
        pytest.param(problem([job("one", (0, 0), 90, window(0, 2)), job("two", (0, 0), 60,
                             window(0, 2))], [day(rig())]),
                     "every rig is busy where it brings more", "one more rig on Tue", id="busy"),
    ],
)  # fmt: skip
def test_a_field_left_out_says_why_and_what_would_change_it(
    asked: RouteProblem, why: str, would_change: str
) -> None:
    (left,) = left_out_fields(asked, best_routes(asked, Steps(50)).routes)
    assert why in left.why
    assert would_change in left.would_change


def test_what_is_said_to_help_does_help():
    """Two fields in one window: with the rig more that is asked for, both are sprayed."""
    jobs = [job(name, (0, 0), 90, window(0, 2)) for name in ("one", "two")]
    asked = problem(jobs, [day(rig())])
    (left,) = left_out_fields(asked, best_routes(asked, Steps(50)).routes)
    assert left.would_change == "one more rig on Tue"
    more = problem(jobs, [day(rig()), day(rig("more"))])
    assert left_out_fields(more, best_routes(more, Steps(50)).routes) == ()


def test_a_way_that_cannot_be_driven_leaves_the_field_out(report):
    told = replace(fleet(), told_miles={("yard:wide", "f1"): float("inf")})
    plan = plan_rigs(report, told, since(), Steps(50))
    far = replace(
        fleet(),
        told_miles={(f"{start}", "f1"): float("inf") for start in ("yard:wide", "f2", "f3")},
    )
    none = plan_rigs(report, far, since(), Steps(50))
    assert planned(none) == {"f2", "f3"}
    assert none.left_out[0].why == "no way from any yard leads there"
    assert plan.fields >= 2


def test_comparing_adds_rigs_like_the_quickest_and_leaves_the_slowest():
    quick, slow = rig("quick", drivers=["dell"]), rig("slow", swath_ft=30)
    told = fleet(slow, quick)
    assert [one.id for one in with_rigs(told, 1, None).rigs] == ["quick"]
    more = with_rigs(told, 3, 16).rigs
    assert (more[0].id, more[0].drivers) == ("quick", ("dell",))
    assert more[2].drivers == ()
    assert len({one.id for one in more}) == 3
    assert {one.day_end.hour for one in more} == {23}
    assert cases(told, 3, None) == [(2, None), (3, None), (4, None)]
    assert cases(told, None, 10) == [(2, None), (2, 10)]
    assert cases(told, 1, 12) == [(2, None), (1, 12), (2, 12)]


def test_a_row_of_the_comparison_counts_the_plan(report):
    plan = plan_rigs(report, fleet(), since(), Steps(20))
    row = row_of(plan, 1, None, as_entered=True)
    assert (row.rigs, row.fields, row.left_out, row.acres) == (1, 3, 0, plan.acres)
