"""Visits: added once, never changed, altered never without a word."""

from datetime import UTC, datetime, timedelta, timezone
from uuid import UUID

import pytest

from storage.errors import StorageError
from storage.visit_store import RejectedRow

ONE = UUID("0b6f8a5e-6d1b-4f55-9a8f-1f2f3a4b5c6d")


def test_a_visit_comes_back_as_it_was_added(stores, a_visit, now):
    full = a_visit(
        scout="Ana Ruiz",
        plants_counted=12,
        bolls_cut=20,
        bolls_cut_mature=19,
        vegetative_bolls_cut=4,
        vegetative_bolls_mature=0,
        windshield=True,
        note='crown; "late" 40 % \u2013 see 3\n',
    )
    bare = a_visit(nodes_above_cracked_boll=None, percent_open=None)

    assert stores.visits.add([full, bare], now) == 2
    assert stores.visits.all() == (full, bare)


def test_times_come_back_in_utc(stores, a_visit, now):
    local = timezone(timedelta(hours=-5))
    stores.visits.add([a_visit(observed_utc=datetime(2026, 10, 5, 18, 15, tzinfo=local))], now)

    (kept,) = stores.visits.all()
    assert kept.observed_utc.isoformat() == "2026-10-05T23:15:00+00:00"


@pytest.mark.fault("I19")
def test_the_same_visit_sent_again_is_accepted_and_kept_once(stores, a_visit, now):
    visit = a_visit(uuid=ONE)
    other_clock = visit.observed_utc.astimezone(timezone(timedelta(hours=-5)))
    stores.visits.add([visit], now)

    again = [visit, a_visit(uuid=ONE, observed_utc=other_clock), a_visit()]
    assert stores.visits.add(again, now + timedelta(hours=1)) == 1
    assert len(stores.visits.all()) == 2


@pytest.mark.parametrize("together", [True, False])
def test_another_visit_under_a_known_uuid_is_refused_and_nothing_is_added(
    stores, a_visit, now, together
):
    first, changed = a_visit(uuid=ONE), a_visit(uuid=ONE, percent_open=65.0)
    if not together:
        stores.visits.add([first], now)
    offered = [a_visit(), first, changed] if together else [a_visit(), changed]

    with pytest.raises(StorageError, match=rf"visit {ONE} of field north-draw: got other content"):
        stores.visits.add(offered, now)
    assert stores.visits.all() == (() if together else (first,))


def test_no_visits_are_added_without_a_fault(stores, now):
    assert stores.visits.add([], now) == 0


@pytest.mark.fault("I18")
def test_the_latest_visit_is_the_one_made_last_not_the_one_added_last(stores, a_visit, now):
    newest = a_visit(observed_utc=now)
    older = a_visit(observed_utc=now - timedelta(days=3))
    elsewhere = a_visit(field_id="west-80", observed_utc=now - timedelta(days=9))
    stores.visits.add([newest, older, elsewhere], now)

    assert stores.visits.latest_by_field() == {"north-draw": newest, "west-80": elsewhere}
    assert stores.visits.of_field("north-draw") == (older, newest)
    assert stores.visits.of_field("nowhere") == ()


def test_of_two_visits_at_once_the_one_added_later_counts(stores, a_visit, now):
    first, second = a_visit(percent_open=50.0), a_visit(percent_open=60.0)
    stores.visits.add([first], now)
    stores.visits.add([second], now)

    assert stores.visits.latest_by_field() == {"north-draw": second}


@pytest.mark.fault("D08")
@pytest.mark.parametrize(
    ("written", "flipped"),
    [
        pytest.param(b'"percent_open":64.0', b'"percent_open":74.0', id="a count"),
        pytest.param(b"open seal", b"open seel", id="a note"),
    ],
)
def test_a_flipped_byte_in_the_file_is_noticed_and_the_row_named(
    stores, farm_file, a_visit, now, written, flipped
):
    stores.visits.add([a_visit(), a_visit(uuid=ONE, note="open seal")], now)
    stores.close()
    content = farm_file.read_bytes()
    # The record of the second visit lies before that of the first in the file.
    assert written in content
    farm_file.write_bytes(content.replace(written, flipped, 1))

    with pytest.raises(StorageError, match=r"visits row 2 \(0b6f8a5e-.*does not match its seal"):
        stores.visits.all()
    with pytest.raises(StorageError, match="visits row 2"):
        stores.visits.latest_by_field()
    with pytest.raises(StorageError, match="visits row 2"):
        stores.visits.of_field("west-80")


@pytest.mark.fault("D08")
@pytest.mark.parametrize(
    "change",
    [
        "field_id = 'west-80'",
        "observed_utc = '2025-10-06 10:30:00.000000'",
        "uuid = '00000000-0000-4000-8000-000000000000'",
    ],
)
def test_a_column_altered_beside_the_record_is_noticed(stores, behind, a_visit, now, change):
    stores.visits.add([a_visit()], now)
    behind(f"UPDATE visits SET {change}")

    with pytest.raises(StorageError, match=r"visits row 1 .* columns do not match"):
        stores.visits.all()


def test_rejected_rows_are_kept_as_they_came(stores, now):
    stores.visits.reject([("no field named 'Nroth'", "Nroth;3,1;;"), ("no date", "x")], now)
    stores.visits.reject([], now)

    assert now.tzinfo is UTC
    assert stores.visits.rejected() == (
        RejectedRow("no field named 'Nroth'", "Nroth;3,1;;", now),
        RejectedRow("no date", "x", now),
    )


def test_what_is_whole_is_still_read_beside_a_damaged_row(stores, behind, a_visit, now):
    visits = [a_visit(field_id=name) for name in ("a", "b", "c")]
    stores.visits.add(visits, now)
    behind("UPDATE visits SET record = replace(record, '3.2', '1.2') WHERE id = 2")

    whole, (damaged,) = stores.visits.all_readable()
    assert whole == (visits[0], visits[2])
    assert (damaged.table, damaged.row, damaged.field_ids) == ("visits", 2, frozenset("b"))
    assert damaged.moment == now
    assert "visits row 2" in damaged.told
    with pytest.raises(StorageError, match="visits row 2"):
        stores.visits.all()


def test_a_row_whose_field_was_altered_may_have_spoken_of_both(stores, behind, a_visit, now):
    stores.visits.add([a_visit(field_id="north-draw")], now)
    behind("UPDATE visits SET field_id = 'west-80', observed_utc = '2019-01-01 00:00:00.000000'")

    whole, (damaged,) = stores.visits.all_readable()
    assert whole == ()
    assert damaged.field_ids == {"north-draw", "west-80"}
    assert damaged.moment == now


def test_rejected_rows_may_hold_any_sign_a_file_may_hold(stores, now):
    stores.visits.reject([("binary \0 file", "a\0b;\x1b[31m;\u2614")], now)

    # A server keeps no NUL in text: the sign for it stands in its place, in both databases.
    (kept,) = stores.visits.rejected()
    assert (kept.reason, kept.raw) == ("binary \u2400 file", "a\u2400b;\x1b[31m;\u2614")


def test_a_note_may_hold_any_sign(stores, a_visit, now):
    visit = a_visit(note="a\0b \\u0000 \x1b \u2614")
    stores.visits.add([visit], now)

    assert stores.visits.all() == (visit,)
