"""Harvest records."""

from datetime import timedelta
from uuid import uuid4

import pytest

from storage.errors import StorageError


def test_a_harvest_is_kept_once_however_often_it_is_sent(stores, a_harvest, now):
    harvest = a_harvest(acres=41.25, note="east half")

    assert stores.harvests.add(harvest, now) is True
    assert stores.harvests.add(harvest, now + timedelta(days=1)) is False
    assert stores.harvests.all() == (harvest,)


def test_another_harvest_under_a_known_uuid_is_refused(stores, a_harvest, now):
    uuid = uuid4()
    kept = a_harvest(uuid=uuid)
    stores.harvests.add(kept, now)

    with pytest.raises(StorageError, match=f"^harvest {uuid} of field north-draw"):
        stores.harvests.add(a_harvest(uuid=uuid, acres=60.0), now)
    assert stores.harvests.all() == (kept,)


def test_the_harvests_of_a_field_come_in_the_order_they_were_made(stores, a_harvest, now):
    second = a_harvest(harvested_utc=now)
    first = a_harvest(harvested_utc=now - timedelta(days=2))
    other = a_harvest(field_id="east-pivot")
    for harvest in (second, other, first):
        stores.harvests.add(harvest, now)

    assert stores.harvests.of_field("north-draw") == (first, second)
    assert stores.harvests.all() == (second, other, first)


@pytest.mark.parametrize(
    "change",
    [
        pytest.param("record = replace(record, '60.5', '6.5')", id="content"),
        pytest.param("field_id = 'east-pivot'", id="field"),
        pytest.param("harvested_utc = '2026-10-01 10:30:00.000000'", id="time"),
    ],
)
def test_an_altered_harvest_is_noticed(stores, a_harvest, now, change):
    stores.harvests.add(a_harvest(), now)
    with stores.database.write() as connection:
        connection.exec_driver_sql(f"UPDATE harvests SET {change}")

    with pytest.raises(StorageError, match="harvests row 1"):
        stores.harvests.of_field("north-draw")
