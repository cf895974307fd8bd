"""Single plants, bolls and cut stages from a row of text, and what is refused in one line."""

from datetime import UTC, datetime
from uuid import UUID

import pytest

from farm.field import Field
from scheduler.data_error import DataError
from scheduler.scouting_file import read_scouting
from scheduler.scouting_row import RowError, visit_from_texts

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
WEST = Field(
    id="west",
    name="West 80",
    grower_id="g1",
    latitude=33.5,
    longitude=-101.5,
    acres=80,
    time_zone="America/Denver",
    treatment_id="mix",
)
FIELDS = {"west": WEST}
BARE = {"field_id": "west", "observed": "2026-10-04T09:30"}


def visit(**texts):
    return visit_from_texts(BARE | texts, FIELDS, NOW)


def test_single_counts_are_read():
    told = visit(
        plant_nodes="4 3 5 4.0  3",
        bolls_open="70",
        bolls_closed="41",
        cut_stages="12 11 9",
        fruiting_gap="yes",
        plants_per_ft="2.5",
    )
    assert told.plant_nodes == (4, 3, 5, 4, 3)
    assert (told.plants_counted, told.nodes_above_cracked_boll) == (5, 3.8)
    assert told.percent_open == 63.0631
    assert (told.cut_stages, told.bolls_cut, told.bolls_cut_mature) == ((12, 11, 9), 3, 2)
    assert told.fruiting_gap
    assert told.plants_per_ft == 2.5


@pytest.mark.parametrize(
    ("texts", "wanted"),
    [
        ({"plant_nodes": "4 45 3"}, 'plant_nodes: got "45", wanted numbers 0 to 25'),
        ({"plant_nodes": "4,3,5"}, 'plant_nodes: got "4,3,5", wanted numbers 0 to 25 with spaces'),
        ({"plant_nodes": "4 three"}, 'plant_nodes: got "three"'),
        ({"nodes_above_cracked_boll": "45"}, 'nodes_above_cracked_boll: got "45", wanted'),
        ({"percent_open": "130"}, 'percent_open: got "130", wanted a number 0 to 100'),
        ({"cut_stages": "12 13"}, 'cut_stages: got "13", wanted whole numbers 1 to 12'),
        ({"cut_stages": "11.5"}, 'cut_stages: got "11.5"'),
        ({"bolls_open": "0", "bolls_closed": "0"}, "bolls_open: got open + closed of zero"),
        ({"bolls_open": "5"}, "bolls_closed: got nothing, wanted open and closed"),
        (
            {"plant_nodes": "4 3 5", "nodes_above_cracked_boll": "5"},
            "nodes_above_cracked_boll: got 5, wanted 4, the mean",
        ),
        ({"fruiting_gap": "maybe"}, 'fruiting_gap: got "maybe", wanted yes or no'),
        ({"fruiting_gap": "yes"}, "got no count at all"),
        ({"plants_per_ft": "25"}, 'plants_per_ft: got "25", wanted a number 0.1 to 20'),
        ({"plant_nodes": "4 " * 1001}, "plant_nodes: got 1001 numbers, wanted at most 1000"),
    ],
)
def test_impossible_counts_are_refused_in_one_line(texts, wanted):
    with pytest.raises(RowError) as refusal:
        visit(**texts)
    assert len(refusal.value.problems) == 1
    assert wanted in str(refusal.value)


def test_a_row_without_single_counts_keeps_the_uuid_it_always_had():
    """As given out before there were columns for single counts: read again, it is known."""
    row = {"scout": "R. Vale", "percent_open": "61", "bolls_cut": "5", "bolls_cut_mature": "4"}
    told = visit(nodes_above_cracked_boll="3.2", **row)
    assert told.uuid == UUID("0b400f38-be4e-5906-bf27-aa8f4358c557")
    assert visit(plant_nodes="4 3").uuid != visit(plant_nodes="3 4").uuid


def test_a_number_of_plants_under_the_wrong_header_is_not_taken_for_their_nodes():
    with pytest.raises(DataError, match='did you mean "plant_nodes"'):
        read_scouting(b"field_id,observed,plants\nwest,2026-10-04,12\n", "v.csv", FIELDS, NOW)


def test_a_look_at_leaf_drop_is_a_visit_of_its_own():
    told = visit(leaf_drop_pct="62.5")
    assert told.leaf_drop_pct == 62.5
    assert told.nodes_above_cracked_boll is None


def test_an_impossible_leaf_drop_is_refused():
    with pytest.raises(RowError, match='leaf_drop_pct: got "130", wanted a number 0 to 100'):
        visit(leaf_drop_pct="130")
