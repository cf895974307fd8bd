"""The one word for a watcher outside."""

from datetime import timedelta

import pytest
from sqlalchemy import text

from web.health import MOST


def test_all_is_well_after_a_morning_and_nothing_of_the_farm_is_told(outside, farm, clock):
    answer = outside.get("/health")
    assert (answer.status_code, answer.text) == (200, "ok")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.cookies == {}


# The demo's deadline is 6:45 am, and its clock begins at 6:10 am.
@pytest.mark.parametrize(
    ("hours", "status", "word"), [(23, 200, "ok"), (24.5, 200, "ok"), (25, 503, "late")]
)
def test_a_morning_not_made_by_its_deadline_is_late(outside, clock, hours, status, word):
    clock.passes(timedelta(hours=hours))
    answer = outside.get("/health")
    assert (answer.status_code, answer.text) == (status, word)


def test_a_database_that_does_not_answer_is_said_in_one_word(outside, farm):
    with farm.stores.database.write() as connection:
        connection.execute(text("ALTER TABLE plans RENAME TO gone"))
    answer = outside.get("/health")
    assert (answer.status_code, answer.text) == (503, "database")


def test_who_asks_too_often_waits_and_then_may_ask_again(outside, clock):
    told = [outside.get("/health").status_code for _ in range(MOST + 1)]
    assert told == [200] * MOST + [429]
    clock.passes(timedelta(minutes=2))
    assert outside.get("/health").status_code == 200
