"""What one row of counts becomes."""

from datetime import UTC, datetime
from uuid import UUID

import pytest

from farm.field import Field
from scheduler.scouting_row import RowError, visit_from_texts

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
FIELDS = {
    "west": Field(
        id="west",
        name="West 80",
        grower_id="g1",
        latitude=33.5,
        longitude=-101.5,
        acres=80,
        time_zone="America/Denver",
        treatment_id="mix",
    )
}
COUNTS = {"field_id": "west", "observed": "2026-10-04T09:30", "nodes_above_cracked_boll": "3.2"}


def visit(**texts):
    return visit_from_texts(COUNTS | texts, FIELDS, NOW)


@pytest.mark.parametrize(
    ("observed", "wanted"),
    [
        pytest.param("2026-10-04T09:30", datetime(2026, 10, 4, 15, 30, tzinfo=UTC), id="local"),
        pytest.param("2026-10-04 09:30Z", datetime(2026, 10, 4, 9, 30, tzinfo=UTC), id="utc"),
        pytest.param("2026-10-04", datetime(2026, 10, 4, 6, tzinfo=UTC), id="date: its start"),
        pytest.param("2026-10-06", datetime(2026, 10, 6, 6, tzinfo=UTC), id="this morning's date"),
        pytest.param("2026-10-06T05:59", datetime(2026, 10, 6, 11, 59, tzinfo=UTC), id="1 h ahead"),
    ],
)
def test_times_are_those_of_the_field(observed, wanted):
    assert visit(observed=observed).observed_utc == wanted


def test_what_was_left_empty_was_not_counted():
    told = visit(percent_open="", bolls_cut=" ")
    assert told.percent_open is None
    assert told.bolls_cut is None
    assert told.plants_counted is None


def test_whole_numbers_may_carry_a_spreadsheets_point_zero():
    assert visit(plants_counted="12.0").plants_counted == 12


@pytest.mark.parametrize(
    ("text", "wanted"), [("x", True), ("Yes", True), ("no", False), ("", False)]
)
def test_an_estimate_from_the_road_is_marked(text, wanted):
    assert visit(windshield=text).windshield is wanted


def test_the_same_content_is_the_same_visit_and_other_content_another():
    assert visit().uuid == visit().uuid
    assert visit(note="wet").uuid != visit().uuid
    assert visit(observed="2026-10-04T09:31").uuid != visit().uuid
    assert visit(observed="2026-10-04T15:30Z").uuid == visit().uuid


def test_a_uuid_that_came_with_the_visit_is_kept():
    given = "7d0b3f5e-0d2c-4a55-9a44-5d5f1f0f9f10"
    assert visit(uuid=given).uuid == UUID(given)


@pytest.mark.fault("I16")
@pytest.mark.parametrize(
    ("texts", "wanted"),
    [
        ({"uuid": "12"}, 'uuid: got "12", wanted a UUID'),
        ({"windshield": "maybe"}, 'windshield: got "maybe", wanted yes or no'),
        ({"bolls_cut": "5", "bolls_cut_mature": "6"}, 'bolls_cut_mature: got "6" with bolls_cut 5'),
        ({"vegetative_bolls_mature": "1"}, "with vegetative_bolls_cut none"),
        ({"note": "x" * 501}, "note: got 501 letters, wanted at most 500"),
        ({"scout": "x" * 81}, "scout: got 81 letters, wanted at most 80"),
    ],
)
def test_counts_that_contradict_themselves_are_refused(texts, wanted):
    with pytest.raises(RowError) as refusal:
        visit(**texts)
    assert wanted in str(refusal.value)
