"""Never more acres sprayed than can be picked in 10 to 14 days (S35)."""

from datetime import timedelta
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st
from skies import NOW, cotton, morning, sky
from test_laws import QUIET

from dispatch.harvest_room import beyond_room
from dispatch.policy import HarvestCapacity
from dispatch.record_figures import HarvestRoom
from dispatch.report import Call
from farm.records import Harvest, Spray


def sprayed(field_id: str, days_ago: float = 8) -> Spray:
    return Spray(
        uuid=uuid4(),
        field_id=field_id,
        sprayed_utc=NOW - timedelta(days=days_ago),
        treatment_id="mix",
    )


def picked(field_id: str, acres: float, days_ago: float = 1) -> Harvest:
    return Harvest(
        uuid=uuid4(), field_id=field_id, harvested_utc=NOW - timedelta(days=days_ago), acres=acres
    )


def pace(acres_per_day: float, within_days: float = 10) -> HarvestCapacity:
    return HarvestCapacity(acres_per_day=acres_per_day, within_days=within_days)


FARM = [cotton(number, acres=acres) for number, acres in enumerate((200, 160, 120, 60), start=1)]


def by_id(report):
    return {one.field.id: one for one in report.fields}


def test_the_room_is_what_can_be_picked_less_what_is_sprayed_and_not_picked():
    """50 ac a day for 10 days is 500; 200 ac sprayed, 80 of them picked: 500 - 120 = 380."""
    room = morning(
        sky(), FARM, sprays=[sprayed("f1")], harvests=(picked("f1", 80),), harvest=pace(50)
    ).run.harvest

    assert (room.backlog_acres, room.room_acres) == (120.0, 380.0)


def test_fields_past_the_room_keep_their_place_and_are_held():
    """Room for 200 ac: the first that does not fit holds all after it."""
    report = morning(sky(), FARM, sprays=[sprayed("f1")], harvest=pace(40))

    order = [one for one in report.fields if one.rank is not None]
    assert report.run.harvest.room_acres == 200.0
    fitting, left = [], 200.0
    for one in order:
        if one.field.acres > left:
            break
        left -= one.field.acres
        fitting.append(one.field.id)
    assert [one.field.id for one in report.to_act_on()] == fitting
    assert sum(one.field.acres for one in report.to_act_on()) <= 200
    assert len(report.held()) == report.run.held == len(order) - len(fitting) > 0
    assert {one.call for one in order} <= {Call.SPRAY, Call.SHORT}


def test_the_first_that_does_not_fit_holds_smaller_ones_after_it_too():
    assert beyond_room([60, 160, 30], _room(100)) == [False, True, True]
    assert beyond_room([60, 40, 1], _room(100)) == [False, False, True]


def test_a_field_larger_than_the_whole_room_is_passed_over():
    assert beyond_room([900, 60, 30], _room(100)) == [True, False, False]
    assert beyond_room([500, 60, 30], _room(100)) == [True, True, True]


def _room(acres: float) -> HarvestRoom:
    return HarvestRoom(acres_a_day=50, within_days=10, backlog_acres=500 - acres, room_acres=acres)


def test_a_full_harvest_holds_every_field_and_says_why():
    report = morning(sky(), FARM, sprays=[sprayed("f1")], harvest=pace(20))

    calls = by_id(report)
    assert report.run.counts[Call.SPRAY] == report.run.counts[Call.SHORT] == 0
    assert calls["f2"].call is Call.WAIT
    assert calls["f2"].because == (
        "Mature, but the harvest is full: 200 ac are sprayed and not picked, at 20 ac a day more "
        "than 10 days of picking.",
    )


def test_nothing_is_held_where_no_pace_was_entered():
    report = morning(sky(), FARM, sprays=[sprayed("f1")])

    assert report.run.harvest is None
    assert not report.held()
    assert len(report.to_act_on()) == 3


def test_a_picked_field_leaves_every_list_and_the_backlog():
    report = morning(
        sky(), FARM, sprays=[sprayed("f1")], harvests=(picked("f1", 198),), harvest=pace(20)
    )

    one = by_id(report)["f1"]
    assert (one.standing, one.call, one.follow_up) == ("picked", Call.WAIT, None)
    assert report.run.harvest.backlog_acres == 0.0
    assert (report.run.picked, report.run.sprayed) == (1, 0)
    assert report.fields[-1] is one


def test_several_passes_add_up_and_a_pass_before_the_spray_does_not_count():
    harvests = (picked("f1", 100, 3), picked("f1", 60, 1), picked("f1", 40, 20))
    report = morning(sky(), FARM, sprays=[sprayed("f1")], harvests=harvests, harvest=pace(50))

    assert report.run.harvest.backlog_acres == 40.0
    assert by_id(report)["f1"].standing == "sprayed"


@QUIET
@given(
    acres=st.lists(st.integers(10, 400), min_size=2, max_size=8),
    done=st.lists(st.booleans(), min_size=8, max_size=8),
    pace_acres=st.integers(0, 120),
    share=st.floats(0, 1),
)
def test_never_more_is_told_to_be_sprayed_than_can_be_picked(acres, done, pace_acres, share):
    farm = [cotton(number, acres=size) for number, size in enumerate(acres, start=1)]
    sprays = [sprayed(one.id) for one, was in zip(farm, done, strict=False) if was]
    harvests = tuple(
        picked(one.id, share * one.acres)
        for one, was in zip(farm, done, strict=False)
        if was and share > 0
    )
    report = morning(sky(), farm, sprays=sprays, harvests=harvests, harvest=pace(pace_acres))

    unpicked = sum(
        one.acres * (1 - share) if share < 0.98 else 0.0
        for one, was in zip(farm, done, strict=False)
        if was
    )
    told = sum(one.field.acres for one in report.to_act_on())
    assert told + unpicked <= max(10 * pace_acres, unpicked) + 0.1 * len(acres)


@QUIET
@given(
    harvests=st.lists(
        st.tuples(st.sampled_from(["f1", "f2"]), st.floats(1, 200)), min_size=1, max_size=5
    ),
    lost=st.integers(0, 4),
    pace_acres=st.integers(1, 60),
)
def test_a_lost_harvest_record_makes_no_field_a_spray(harvests, lost, pace_acres):
    told = tuple(picked(field_id, acres) for field_id, acres in harvests)
    kept = tuple(one for place, one in enumerate(told) if place != lost)
    sprays = [sprayed("f1"), sprayed("f2")]
    before, after = (
        morning(sky(), FARM, sprays=sprays, harvests=some, harvest=pace(pace_acres))
        for some in (told, kept)
    )

    acting = {one.field.id for one in before.to_act_on()}
    assert {one.field.id for one in after.to_act_on()} <= acting
    sprays_before = {one.field.id for one in before.with_call(Call.SPRAY, Call.SHORT)}
    assert {one.field.id for one in after.with_call(Call.SPRAY, Call.SHORT)} <= sprays_before


@pytest.mark.parametrize(("acres", "standing"), [(196, "picked"), (195.9, "sprayed")])
def test_98_acres_of_100_are_the_whole_field(acres, standing):
    report = morning(sky(), FARM, sprays=[sprayed("f1")], harvests=(picked("f1", acres),))

    assert by_id(report)["f1"].standing == standing


def test_a_pass_at_the_moment_of_the_spray_counts():
    """Records hold whole minutes: a field sprayed and logged as picked at once is picked."""
    report = morning(sky(), FARM, sprays=[sprayed("f1", 2)], harvests=(picked("f1", 200, 2),))

    assert by_id(report)["f1"].standing == "picked"


def test_a_pace_that_cannot_be_is_refused():
    with pytest.raises(ValueError, match="within_days"):
        HarvestCapacity(acres_per_day=50, within_days=0)


def test_a_spray_whose_record_cannot_be_read_still_takes_its_room():
    """As read: 200 ac of 500 are sprayed. With the record damaged the room stays at 300."""
    read = morning(sky(), FARM, sprays=[sprayed("f1")], harvest=pace(50))
    unread = morning(sky(), FARM, unread=frozenset({"f1"}), harvest=pace(50))

    assert read.run.harvest.room_acres == unread.run.harvest.room_acres == 300.0
