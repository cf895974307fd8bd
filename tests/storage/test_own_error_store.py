"""A farm's own errors of lows: the last of each source counts, and damage is never silent."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from agronomy.own_low_errors import OwnLead, OwnLowErrors
from storage.errors import StorageError
from storage.seals import look_at_seals


@pytest.fixture
def errors_of(now):
    """Errors of a source, kept some hours after ``now``."""

    def make(source, hours=0, sd_f=3.0) -> OwnLowErrors:
        return OwnLowErrors(
            uuid=uuid4(),
            source=source,
            kept_utc=now + timedelta(hours=hours),
            first_on=date(2026, 9, 20),
            last_on=date(2026, 12, 8),
            leads=(OwnLead(lead_days=1, nights=80, pairs=80, bias_f=1.0, sd_f=sd_f),),
        )

    return make


def test_the_last_of_each_source_up_to_a_moment_counts(stores, now, errors_of):
    first, other, second = errors_of("A"), errors_of("B", 1), errors_of("A", 2, sd_f=4.0)
    for one in (first, other, second):
        stores.own_errors.add(one)

    assert stores.own_errors.standing(now + timedelta(hours=2)) == (other, second)
    assert stores.own_errors.standing(now + timedelta(hours=1)) == (first, other)
    assert stores.own_errors.standing(now - timedelta(hours=1)) == ()


def test_an_altered_row_is_never_counted_with(stores, now, errors_of, behind):
    stores.own_errors.add(errors_of("A"))
    behind("UPDATE own_low_errors SET record = replace(record, '3.0', '0.1')")

    with pytest.raises(StorageError, match="own_low_errors row 1: its content does not match"):
        stores.own_errors.standing(now)
    (looked,) = (one for one in look_at_seals(stores.database) if one.name == "own_low_errors")
    assert (looked.rows, len(looked.damaged)) == (1, 1)


def test_a_damaged_row_takes_those_before_it_out_until_errors_are_kept_anew(
    stores, now, errors_of, behind
):
    stores.own_errors.add(errors_of("A"))
    stores.own_errors.add(errors_of("A", sd_f=4.0))
    behind("UPDATE own_low_errors SET record = 'x' WHERE id = 2")
    with pytest.raises(StorageError, match="row 2"):
        stores.own_errors.standing(now)

    anew = errors_of("A")
    stores.own_errors.add(anew)
    assert stores.own_errors.standing(now) == (anew,)
