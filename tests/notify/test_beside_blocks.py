"""What a digest says of fields held for the harvest, hit by a freeze, and picked."""

from datetime import date

import pytest
from mornings import STOP, at, call, field, morning, person, spray

from dispatch.report import AfterFreeze, Call, HarvestRoom
from farm.people import Role
from notify.digest import write_digests

ROOM = HarvestRoom(acres_a_day=60, within_days=10, backlog_acres=480, room_acres=120)


def froze(number: int, name: str, **more):
    told = {
        "froze_utc": at(1, 6),
        "low_f": 24.0,
        "confirmed": True,
        "days_since": 5.0,
        "inspect_from": date(2026, 10, 6),
        "inspect_until": date(2026, 10, 9),
        "due_today": True,
    } | more
    said = ("Killing freeze Thu (24F at the field).",)
    return call(
        field(number, name, "odell"),
        Call.WAIT,
        "T. O'Dell",
        after_freeze=AfterFreeze(**told),
        because=said,
        reasons=said,
        to_do="Look at it from Tue 6 Oct.",
    )


def held_morning():
    first = spray(field(1, "North Draw", "odell"), "T. O'Dell", 1)
    second = spray(field(2, "Mill Quarter", "ruhl"), "Ruhl & Sons", 2)
    return morning(
        first, second.model_copy(update={"held_for_harvest": True}), harvest=ROOM, held=1
    )


def digest(report, role=Role.OPERATOR, **more):
    (told,) = write_digests(report, (person(role, **more),), STOP, 2)
    assert told.faults == ()
    return told


def test_a_held_field_is_not_among_those_to_spray_and_its_place_is_told():
    told = digest(held_morning())

    assert told.subject.startswith("Tue 6 Oct: spray 1, 1 held (")
    assert "SPRAY NEXT (1 field, 100 ac" in told.text
    after = told.text.split("HELD FOR THE HARVEST (1)")[1]
    assert "no room for these yet" in after
    assert (
        "Harvest: 480 ac sprayed and not picked; at 60 ac a day, room for 120 ac more within 10 "
        "days." in " ".join(told.text.split())
    )
    assert "2  Mill Quarter" in after
    assert "North Draw" not in after.split("Forecast:")[0]
    assert "2 fields: 1 to spray, 1 held for the harvest." in told.text
    assert "Spray 1, 1 held" in told.sms


def test_frozen_fields_are_listed_with_what_to_look_for_the_due_ones_first():
    later = froze(4, "East Bench", due_today=False, inspect_from=date(2026, 10, 8))
    report = morning(later, froze(5, "Creek Bend"))

    told = digest(report)

    assert told.subject.startswith("Tue 6 Oct: no spray, look at 1 after the freeze (")
    block = told.text.split("AFTER THE FREEZE (2)")[1]
    assert block.index("Creek Bend   look at it today") < block.index("East Bench   look at it 8-9")
    assert "Flick the leaves" in block
    assert "sharp knife, away from your hand" in " ".join(block.split())
    assert "AFTER THE FREEZE (2)" in told.html
    assert "2 fields: 2 to look at after a freeze." in told.text
    assert "Look at it from Tue 6 Oct." in block


@pytest.mark.parametrize(
    ("more", "mark"),
    [
        ({"due_today": False, "confirmed": False}, "not confirmed; hold the spray"),
        ({"due_today": False, "found": "killed"}, "killed"),
        ({"due_today": False, "found": "unclear"}, "look at it again"),
    ],
)
def test_the_mark_says_how_a_frozen_field_stands(more, mark):
    assert f"Creek Bend   {mark}\n" in digest(morning(froze(5, "Creek Bend", **more))).text


def test_a_picked_field_is_named_and_nothing_else():
    done = call(
        field(6, "Tank Field", "ruhl"),
        Call.WAIT,
        "Ruhl & Sons",
        picked_on=date(2026, 10, 4),
        because=("Picked Sun.",),
        reasons=("Picked Sun.",),
    )
    told = digest(morning(done))

    assert "PICKED (1)\n  Tank Field\n" in told.text
    assert "WAIT" not in told.text
    assert "1 field: 1 picked." in told.text


def test_a_grower_reads_of_their_own_held_field_only():
    told = digest(held_morning(), Role.GROWER, grower_ids=("ruhl",))

    assert "HELD FOR THE HARVEST (1)" in told.text
    assert "North Draw" not in told.text
    assert "480 ac" not in told.text + told.html
    assert "No spray, 1 held." in told.sms
    assert told.subject.startswith("Tue 6 Oct: no spray, 1 held (")
