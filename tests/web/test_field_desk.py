"""What the board knows of one field's records."""

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from farm.records import Visit
from scheduler.opening import OpenFarm
from web.field_desk import RecordRefusal


def _visit(farm: OpenFarm, **told: Any) -> Visit:
    visit = Visit(
        uuid=uuid4(), field_id="windmill", observed_utc=farm.now - timedelta(hours=2), **told
    )
    farm.stores.visits.add([visit], farm.now)
    return visit


def test_records_come_newest_first_with_when_they_were_entered(farm, desk):
    visit = _visit(farm, nodes_above_cracked_boll=2.5)
    first, *others = desk.fields.records("windmill").kept
    assert (first.record, first.entered_utc, first.taken_back) == (visit, farm.now, None)
    moments = [one.happened_utc for one in others]
    assert moments == sorted(moments, reverse=True)
    assert moments


def test_a_record_taken_back_stays_with_its_retraction_and_is_taken_back_once(farm, desk):
    visit = _visit(farm)
    for why in ("wrong field", "pressed again"):
        desk.fields.take_back("visit", visit.uuid, "R. Vale", why)
    kept = desk.fields.record("visit", visit.uuid)
    assert (kept.taken_back.by, kept.taken_back.why) == ("R. Vale", "wrong field")


def test_records_of_the_season_before_are_left_out(farm, desk):
    old = Visit(uuid=uuid4(), field_id="windmill", observed_utc=farm.now - timedelta(days=365))
    farm.stores.visits.add([old], farm.now)
    assert old not in [one.record for one in desk.fields.records("windmill").kept]
    assert desk.fields.record("visit", old.uuid).record == old


def test_what_is_not_on_record_is_refused_and_not_found(desk):
    nobodys = UUID(int=7)
    assert desk.fields.record("spray", nobodys) is None
    with pytest.raises(RecordRefusal, match="wanted the id of a spray"):
        desk.fields.take_back("spray", nobodys, "", "")


def test_the_explanation_is_that_of_the_command(farm, desk):
    report = desk.mornings.latest()
    one = next(one for one in report.fields if one.field.id == "windmill")
    titles = [section.title for section in desk.fields.explained(report, one)]
    assert titles[0] == "Windmill Quarter: SPRAY, number 2 of 9"
    assert {"The effect", "The order", "The maturity"} <= set(titles)
    assert desk.fields.rules(report, "windmill").maturity.nacb_max == 4
