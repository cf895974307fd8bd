"""Law: whatever is logged and taken back, in any order and with repeats, a morning reads the rest.

The model is plain Python: what was logged, less what was taken back by then. The last of each
kind is of a season that is over.
"""

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid5

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from scheduler.season_records import readable_records
from storage.stores import open_stores
from storage.take_back import NoSuchRecordError, take_back

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
NAMES = UUID("1a2b3c4d-0000-4000-8000-000000000000")
KINDS = ("visit", "spray", "harvest", "freeze", "inspection")
MAKERS = {
    "visit": lambda **one: Visit(observed_utc=one.pop("at"), percent_open=50.0, **one),
    "spray": lambda **one: Spray(sprayed_utc=one.pop("at"), treatment_id="mix", **one),
    "harvest": lambda **one: Harvest(harvested_utc=one.pop("at"), acres=1.0, **one),
    "freeze": lambda **one: Freeze(froze_utc=one.pop("at"), low_f=27.0, **one),
    "inspection": lambda **one: FreezeInspection(
        inspected_utc=one.pop("at"), found="unclear", **one
    ),
}
#: Hours back: some at the same moment, one in last season.
HOURS = (0, 1, 1, 24, 9_000)
RECORDS = {
    (kind, number): MAKERS[kind](
        uuid=uuid5(NAMES, f"{kind}{number}"),
        field_id="ab"[number % 2],
        at=NOW - timedelta(hours=hours),
    )
    for kind in KINDS
    for number, hours in enumerate(HOURS)
}
#: What had happened two hours before, by kind.
EARLY = {kind: [RECORDS[kind, 3]] for kind in KINDS}
steps = st.lists(
    st.tuples(
        st.sampled_from(["log", "take back", "take back"]),
        st.sampled_from(list(RECORDS)),
        st.integers(min_value=-3, max_value=3),
    ),
    max_size=30,
)


def keep(stores, kind, record) -> None:
    if kind == "visit":
        stores.visits.add([record], NOW)
    else:
        names = {"spray": "sprays", "harvest": "harvests", "freeze": "freezes"}
        getattr(stores, names.get(kind, "freeze_inspections")).add(record, NOW)


def standing(logged, taken_back, kind, at):
    """Plain Python: the records of a kind that a morning may read, in the order logged."""
    return [
        RECORDS[one]
        for one in logged
        if one[0] == kind and one[1] < 4 and not any(hour <= at for hour in taken_back.get(one, []))
    ]


def by_field(records):
    return {
        name: tuple(own)
        for name in "ab"
        if (own := [one for one in records if one.field_id == name])
    }


@pytest.fixture(scope="module")
def stores(tmp_path_factory):
    with open_stores("law.sqlite3", tmp_path_factory.mktemp("law")) as opened:
        yield opened


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(steps=steps)
def test_a_morning_reads_what_was_logged_less_what_was_taken_back_by_then(stores, steps):
    logged, taken_back = [], {}
    with stores.database.write() as connection:
        for table in ("visits", "sprays", "harvests", "freezes", "freeze_inspections"):
            connection.exec_driver_sql(f"DELETE FROM {table}")
        connection.exec_driver_sql("DELETE FROM retractions")
    for act, name, hour in steps:
        kind, record = name[0], RECORDS[name]
        if act == "log":
            keep(stores, kind, record)
            if name not in logged:
                logged.append(name)
            continue
        try:
            told = take_back(stores, kind, record.uuid, NOW + timedelta(hours=hour))
        except NoSuchRecordError:
            assert name not in logged
            continue
        assert name in logged
        assert told.new == (name not in taken_back)
        # The first word stands.
        taken_back.setdefault(name, [hour])

    for at in (0, -2, 2):
        found = readable_records(stores, "America/Chicago", NOW + timedelta(hours=at))
        now_of = {
            kind: [
                one
                for one in standing(logged, taken_back, kind, at)
                if at >= 0 or one in EARLY[kind]
            ]
            for kind in KINDS
        }
        assert found.damaged == ()
        assert found.visits == tuple(now_of["visit"])
        assert found.harvests == tuple(now_of["harvest"])
        assert found.freezes == by_field(now_of["freeze"])
        assert found.inspections == by_field(now_of["inspection"])
        last = {}
        for one in now_of["spray"]:
            if one.field_id not in last or last[one.field_id].sprayed_utc <= one.sprayed_utc:
                last[one.field_id] = one
        assert found.sprays == last
    assert len(stores.retractions.all()) == len(taken_back)
