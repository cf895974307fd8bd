"""Records taken back: once, by the start of their id, and told when something of it is damaged."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from farm.records import Spray
from farm.retraction import entered_anew
from storage.errors import StorageError
from storage.seals import look_at_seals
from storage.take_back import NoSuchRecordError, StandingSprays, find_record, short_id, take_back

ONE = UUID("1a2b3c4d-0000-4000-8000-000000000001")
TWO = UUID("1a2b3c4d-0000-4000-8000-000000000002")


def retractions_seen(stores):
    (table,) = [one for one in look_at_seals(stores.database) if one.name == "retractions"]
    return table


def test_what_is_taken_back_stays_where_it_is_and_is_left_out_from_then_on(stores, a_spray, now):
    wrong, right = a_spray(), a_spray(note="the right field")
    for one in (right, wrong):
        stores.sprays.add(one, now)

    told = take_back(stores, "spray", wrong.uuid, now, "R. Vale", "wrong field")

    assert (told.record, told.new) == (wrong, True)
    assert (told.retraction.by, told.retraction.why) == ("R. Vale", "wrong field")
    assert stores.sprays.all() == (right, wrong)
    assert stores.retractions.taken_back(now - timedelta(seconds=1)) == frozenset()
    taken_back = stores.retractions.taken_back(now)
    assert taken_back == {wrong.uuid}
    assert stores.sprays.of_field("north-draw", taken_back) == (right,)
    assert stores.sprays.of_field("north-draw") == (right, wrong)


def test_taken_back_again_the_first_retraction_stands(stores, a_visit, now):
    visit = a_visit()
    stores.visits.add([visit], now)
    first = take_back(stores, "visit", visit.uuid, now, why="wrong field")
    again = take_back(stores, "visit", visit.uuid, now + timedelta(days=1), why="another word")
    assert (again.new, again.retraction) == (False, first.retraction)
    assert stores.retractions.all() == (first.retraction,)


def test_each_kind_can_be_taken_back_and_only_as_what_it_is(
    stores, a_visit, a_spray, a_harvest, a_freeze, an_inspection, now
):
    visit, spray, harvest = a_visit(), a_spray(), a_harvest()
    freeze, look = a_freeze(), an_inspection()
    stores.visits.add([visit], now)
    stores.sprays.add(spray, now)
    stores.harvests.add(harvest, now)
    stores.freezes.add(freeze, now)
    stores.freeze_inspections.add(look, now)
    by_kind = {"visit": visit, "spray": spray, "harvest": harvest}
    by_kind |= {"freeze": freeze, "inspection": look}
    for kind, one in by_kind.items():
        other = "spray" if kind != "spray" else "visit"
        with pytest.raises(NoSuchRecordError, match=f"wanted the id of a {other} that is on rec"):
            take_back(stores, other, one.uuid, now)
        assert find_record(stores, list(by_kind), str(one.uuid)[:12]) == (kind, one)
        assert take_back(stores, kind, one.uuid, now).retraction.kind == kind
    assert stores.retractions.taken_back(now) == {one.uuid for one in by_kind.values()}


def test_a_record_that_is_not_there_cannot_be_taken_back(stores, now):
    with pytest.raises(NoSuchRecordError, match="wanted the id of a spray that is on record"):
        take_back(stores, "spray", uuid4(), now)
    assert stores.retractions.all() == ()


def test_a_record_is_found_by_the_start_of_its_id_if_no_other_begins_so(stores, a_spray, now):
    for uuid in (ONE, TWO):
        stores.sprays.add(a_spray(uuid=uuid), now)
    assert short_id(ONE) == "1a2b3c4d"
    assert find_record(stores, ["spray"], f" {str(TWO).upper()} ")[1].uuid == TWO
    with pytest.raises(NoSuchRecordError) as several:
        find_record(stores, ["spray"], "1a2b3c4d")
    assert f"which 2 ids begin with; say {ONE}, {TWO}" in str(several.value)
    with pytest.raises(NoSuchRecordError, match="wanted at least 4 letters"):
        find_record(stores, ["spray"], "1a2")
    with pytest.raises(NoSuchRecordError, match="wanted the start of the id of a freeze or insp"):
        find_record(stores, ["freeze", "inspection"], "1a2b3c4d")


def test_the_same_content_after_it_was_taken_back_is_another_record_and_still_one():
    assert entered_anew(ONE, frozenset()) == ONE
    second = entered_anew(ONE, frozenset({ONE}))
    assert second not in (ONE, TWO)
    assert entered_anew(ONE, frozenset({ONE})) == second
    assert entered_anew(ONE, frozenset({ONE, second})) not in (ONE, second)


def test_a_link_pressed_again_after_its_spray_was_taken_back_enters_it_anew(stores, a_spray, now):
    desk, pressed = StandingSprays(stores), a_spray()
    assert desk.add(pressed, now)
    take_back(stores, "spray", pressed.uuid, now)
    assert desk.of_field("north-draw") == ()

    later = pressed.model_copy(update={"sprayed_utc": now + timedelta(hours=2)})
    assert desk.add(later, now)
    assert not desk.add(later, now)
    (standing,) = desk.of_field("north-draw")
    assert isinstance(standing, Spray)
    assert standing.sprayed_utc == later.sprayed_utc


@pytest.mark.fault("D08")
def test_a_damaged_retraction_is_named_and_never_taken_for_none(stores, behind, a_spray, now):
    spray = a_spray()
    stores.sprays.add(spray, now)
    take_back(stores, "spray", spray.uuid, now, why="wrong field")
    assert retractions_seen(stores).damaged == ()
    behind("UPDATE retractions SET record = replace(record, 'wrong', 'right')")

    with pytest.raises(StorageError, match=r"retractions row 1 .*does not match its seal"):
        stores.retractions.taken_back(now)
    assert "retractions row 1" in retractions_seen(stores).damaged[0]
    whole, (damaged,) = stores.retractions.all_readable()
    assert (whole, damaged.field_ids, damaged.moment) == ((), {"north-draw"}, now)


def test_a_retraction_whose_record_was_lost_is_named(stores, behind, a_visit, now):
    visits = [a_visit(), a_visit()]
    stores.visits.add(visits, now)
    for one in visits:
        take_back(stores, "visit", one.uuid, now)
    assert (retractions_seen(stores).rows, retractions_seen(stores).damaged) == (2, ())
    behind(f"DELETE FROM visits WHERE uuid = '{visits[0].uuid}'")
    (told,) = retractions_seen(stores).damaged
    assert f"the visit {visits[0].uuid} of field north-draw was taken back and is not kept" in told
