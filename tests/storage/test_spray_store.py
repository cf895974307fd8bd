"""Application records."""

from datetime import timedelta
from uuid import uuid4

import pytest

from storage.errors import StorageError


def test_a_spray_is_kept_once_however_often_it_is_sent(stores, a_spray, now):
    spray = a_spray(rig_id="rig-1", applicator="Ben Ode", note="second pass")

    assert stores.sprays.add(spray, now) is True
    assert stores.sprays.add(spray, now) is False
    assert stores.sprays.all() == (spray,)


def test_another_spray_under_a_known_uuid_is_refused(stores, a_spray, now):
    uuid = uuid4()
    stores.sprays.add(a_spray(uuid=uuid), now)

    with pytest.raises(StorageError, match=f"spray {uuid} of field north-draw"):
        stores.sprays.add(a_spray(uuid=uuid, treatment_id="mix-b"), now)


def test_the_latest_spray_of_each_field_is_the_one_made_last(stores, a_spray, now):
    second = a_spray(sprayed_utc=now)
    first = a_spray(sprayed_utc=now - timedelta(days=8))
    for spray in (second, first):
        stores.sprays.add(spray, now)

    assert stores.sprays.latest_by_field() == {"north-draw": second}
    assert stores.sprays.of_field("north-draw") == (first, second)


def test_an_altered_spray_is_noticed(stores, a_spray, now):
    stores.sprays.add(a_spray(), now)
    with stores.database.write() as connection:
        connection.exec_driver_sql("UPDATE sprays SET record = replace(record, 'mix-a', 'mix-b')")

    with pytest.raises(StorageError, match="sprays row 1"):
        stores.sprays.latest_by_field()
