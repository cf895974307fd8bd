"""Single counts of a visit: what follows from them, and what cannot stand beside them."""

from datetime import UTC, datetime
from uuid import UUID

import pytest
from pydantic import ValidationError

from farm.records import Visit


def visit(**counts):
    return Visit(
        uuid=UUID(int=6),
        field_id="f",
        observed_utc=datetime(2026, 10, 4, 15, 30, tzinfo=UTC),
        **counts,
    )


def test_the_mean_and_the_number_of_plants_follow_from_the_plants():
    told = visit(plant_nodes=(4, 3, 5, 4, 3))
    assert (told.nodes_above_cracked_boll, told.plants_counted) == (3.8, 5)


def test_a_written_mean_near_enough_gives_way_to_the_plants():
    assert visit(plant_nodes=(4, 3), nodes_above_cracked_boll=4).nodes_above_cracked_boll == 3.5


def test_percent_open_follows_from_the_bolls():
    assert visit(bolls_open=70, bolls_closed=41).percent_open == 63.0631
    assert visit(bolls_open=0, bolls_closed=41).percent_open == 0
    assert visit(bolls_open=7, bolls_closed=0).percent_open == 100


def test_the_cut_test_follows_from_the_stages():
    """Seed is fully mature at stage 11 of 12 (Tennessee survey 2021)."""
    told = visit(cut_stages=(12, 11, 10, 9))
    assert (told.bolls_cut, told.bolls_cut_mature) == (4, 2)


@pytest.mark.parametrize(
    ("counts", "wanted"),
    [
        (
            {"plant_nodes": (4, 3, 5, 4, 3), "nodes_above_cracked_boll": 4.4},
            "nodes_above_cracked_boll: got 4.4, wanted 3.8, the mean of the plants listed",
        ),
        ({"plant_nodes": (4, 3), "plants_counted": 12}, "plants_counted: got 12, wanted 2"),
        ({"bolls_open": 0, "bolls_closed": 0}, "bolls_open: got open + closed of zero"),
        ({"bolls_open": 5}, "bolls_closed: got nothing"),
        ({"bolls_closed": 5}, "bolls_open: got nothing"),
        (
            {"bolls_open": 70, "bolls_closed": 30, "percent_open": 60},
            "percent_open: got 60, wanted 70, the share of the bolls counted",
        ),
        ({"bolls_open": 70, "bolls_closed": 30, "windshield": True}, "windshield: got yes"),
        ({"cut_stages": (12, 9), "bolls_cut": 3}, "bolls_cut: got 3, wanted 2"),
        ({"cut_stages": (12, 9), "bolls_cut_mature": 2}, "bolls_cut_mature: got 2, wanted 1"),
        ({"cut_stages": (13,)}, "less than or equal to 12"),
        ({"cut_stages": (0,)}, "greater than or equal to 1"),
        ({"plant_nodes": (45.0,)}, "less than or equal to 25"),
        ({"plant_nodes": (4.0,) * 1001}, "at most 1000 items"),
        ({"plants_per_ft": 0}, "greater than or equal to 0.1"),
    ],
)
def test_counts_that_cannot_be_are_refused(counts, wanted):
    with pytest.raises(ValidationError) as refusal:
        visit(**counts)
    assert wanted in str(refusal.value)
