"""Freezes, and the looks at what froze."""

from datetime import timedelta
from uuid import uuid4

import pytest

from storage.errors import StorageError


def test_a_freeze_is_kept_once_however_often_it_is_sent(stores, a_freeze, now):
    freeze = a_freeze(told_by="forecast", reporter="Ana Ruiz", note="low spot white")

    assert stores.freezes.add(freeze, now) is True
    assert stores.freezes.add(freeze, now) is False
    assert stores.freezes.all() == (freeze,)


def test_a_freeze_without_a_known_low_comes_back_without_one(stores, a_freeze, now):
    stores.freezes.add(a_freeze(low_f=None), now)
    assert stores.freezes.all()[0].low_f is None


def test_of_many_freezes_only_the_new_ones_are_counted(stores, a_freeze, now):
    night = [a_freeze(field_id=f"f{number}") for number in range(3)]
    stores.freezes.add(night[1], now)

    assert stores.freezes.add_all(night, now) == 2
    assert stores.freezes.add_all(night, now) == 0
    assert stores.freezes.add_all([], now) == 0
    assert set(stores.freezes.all()) == set(night)


def test_of_many_freezes_all_are_kept_or_none(stores, a_freeze, now):
    known = a_freeze()
    stores.freezes.add(known, now)
    night = [a_freeze(field_id="east-pivot"), a_freeze(uuid=known.uuid, low_f=22.0)]

    with pytest.raises(StorageError, match=f"^freeze {known.uuid} of field north-draw"):
        stores.freezes.add_all(night, now)
    assert stores.freezes.all() == (known,)


def test_the_freezes_of_a_field_come_in_the_order_they_came(stores, a_freeze, now):
    second = a_freeze(froze_utc=now)
    first = a_freeze(froze_utc=now - timedelta(days=1))
    stores.freezes.add_all([second, a_freeze(field_id="east-pivot"), first], now)

    assert stores.freezes.of_field("north-draw") == (first, second)


def test_an_inspection_is_kept_once_however_often_it_is_sent(stores, an_inspection, now):
    look = an_inspection(found="alive", leaves="fall", bolls_cut=20, bolls_dead=1)

    assert stores.freeze_inspections.add(look, now) is True
    assert stores.freeze_inspections.add(look, now) is False
    assert stores.freeze_inspections.all() == (look,)


def test_another_inspection_under_a_known_uuid_is_refused(stores, an_inspection, now):
    uuid = uuid4()
    stores.freeze_inspections.add(an_inspection(uuid=uuid), now)

    with pytest.raises(StorageError, match=f"^freeze inspection {uuid} of field north-draw"):
        stores.freeze_inspections.add(an_inspection(uuid=uuid, found="alive"), now)


def test_the_looks_at_a_field_come_in_the_order_they_were_made(stores, an_inspection, now):
    second = an_inspection(inspected_utc=now)
    first = an_inspection(inspected_utc=now - timedelta(days=4), found="unclear")
    for look in (second, an_inspection(field_id="east-pivot"), first):
        stores.freeze_inspections.add(look, now)

    assert stores.freeze_inspections.of_field("north-draw") == (first, second)


def test_an_altered_freeze_or_inspection_is_noticed(stores, a_freeze, an_inspection, now):
    stores.freezes.add(a_freeze(), now)
    stores.freeze_inspections.add(an_inspection(), now)
    with stores.database.write() as connection:
        connection.exec_driver_sql("UPDATE freezes SET record = replace(record, '27.5', '33.5')")
        connection.exec_driver_sql(
            "UPDATE freeze_inspections SET record = replace(record, 'killed', 'alive')"
        )

    with pytest.raises(StorageError, match="freezes row 1"):
        stores.freezes.all()
    with pytest.raises(StorageError, match="freeze_inspections row 1"):
        stores.freeze_inspections.all()
