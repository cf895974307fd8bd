"""Visits kept before there were single counts: read as they were, sealed as they were."""

from uuid import UUID

import pytest

from farm.records import Visit
from storage.record_text import noun_from, seal_of, text_of

#: As written by the first version.
KEPT = (
    '{"bolls_cut":20,"bolls_cut_mature":19,"field_id":"north-draw",'
    '"nodes_above_cracked_boll":3.2,"note":"crown","observed_utc":"2026-10-06T10:30:00Z",'
    '"percent_open":64.0,"plants_counted":12,"scout":"Ana Ruiz",'
    '"uuid":"0b6f8a5e-6d1b-4f55-9a8f-1f2f3a4b5c6d"}'
)
#: printf %s KEPT | sha256sum
SEAL = "19ab57c785f3585bac4cc6f9655d02dc586b85c2d152aa7fe36ed69d2e4ddbe4"


def test_an_old_visit_is_read_and_its_text_and_seal_are_still_the_same(a_visit):
    old = a_visit(
        uuid=UUID("0b6f8a5e-6d1b-4f55-9a8f-1f2f3a4b5c6d"),
        scout="Ana Ruiz",
        plants_counted=12,
        bolls_cut=20,
        bolls_cut_mature=19,
        note="crown",
    )
    assert noun_from(KEPT, Visit, "here") == old
    assert text_of(old) == KEPT
    assert seal_of(text_of(old)) == SEAL


@pytest.mark.parametrize("sent", [1, 2])
def test_single_counts_come_back_as_they_were_added(stores, a_visit, now, sent):
    new = a_visit(
        nodes_above_cracked_boll=None,
        percent_open=None,
        plant_nodes=(4, 3, 5.5),
        bolls_open=70,
        bolls_closed=41,
        cut_stages=(12, 11, 9),
        fruiting_gap=True,
        plants_per_ft=2.5,
    )
    for _ in range(sent):
        stores.visits.add([new], now)
    assert stores.visits.all() == (new,)
    assert stores.visits.all()[0].nodes_above_cracked_boll == 4.1667


def test_a_leaf_drop_comes_back_and_is_kept_only_where_it_was_seen(stores, a_visit, now):
    seen = a_visit(leaf_drop_pct=62.5)
    stores.visits.add([seen], now)
    assert stores.visits.all()[0].leaf_drop_pct == 62.5
    assert "leaf_drop_pct" not in text_of(a_visit())
