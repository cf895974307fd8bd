"""Fields seen."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from storage.errors import StorageError
from storage.tables import fields


def test_a_field_is_known_by_its_newest_record(stores, a_field, now):
    later = now + timedelta(days=1)
    outline = ((-101.6, 34.1), (-101.5, 34.1), (-101.5, 34.2))
    stores.fields.remember([a_field(acres=118.0), a_field(id="west-80", name="West 80")], now)
    stores.fields.remember([a_field(acres=112.5, outline=outline)], later)

    assert stores.fields.known() == (
        a_field(acres=112.5, outline=outline),
        a_field(id="west-80", name="West 80"),
    )
    with stores.database.read() as connection:
        seen = select(fields.c.id, fields.c.first_seen_utc, fields.c.last_seen_utc)
        assert connection.execute(seen.order_by(fields.c.id)).all() == [
            ("north-draw", now, later),
            ("west-80", now, now),
        ]


def test_no_fields_are_remembered_without_a_fault(stores, now):
    stores.fields.remember([], now)

    assert stores.fields.known() == ()


def test_a_record_that_cannot_be_read_is_named(stores, a_field, now):
    stores.fields.remember([a_field()], now)
    with stores.database.write() as connection:
        connection.exec_driver_sql('UPDATE fields SET record = \'{"id": "north-draw"}\'')

    with pytest.raises(StorageError, match=r"field north-draw: name: Field required"):
        stores.fields.known()


@pytest.mark.fault("I27")
def test_a_field_that_left_the_config_stays_known_and_so_do_its_records(
    stores, a_field, a_visit, now
):
    stores.fields.remember([a_field(), a_field(id="gone", name="Gone")], now)
    stores.visits.add([a_visit(field_id="gone")], now)

    stores.fields.remember([a_field()], now)

    assert [one.id for one in stores.fields.known()] == ["gone", "north-draw"]
    assert len(stores.visits.of_field("gone")) == 1
