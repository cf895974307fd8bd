"""Plans of rigs kept under revisions that only rise, and reports kept beside them."""

from datetime import timedelta
from uuid import UUID

import pytest
from pydantic import ValidationError

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from farm.route_note import RouteNote
from storage.errors import StorageError
from storage.seals import look_at_seals
from storage.stores import open_stores


@pytest.fixture
def plan(now) -> RoutePlan:
    stop = Stop(
        field_id="nd",
        field_name="Nörth Draw ☔",
        acres=118,
        mix_id="aid",
        arrive_utc=now,
        start_utc=now + timedelta(minutes=30),
        end_utc=now + timedelta(hours=2),
        drive_min=12,
        miles=3.5,
        fills=2,
        effect_pct=81.25,
        worth_ac=95.9,
        full=True,
        locked=True,
    )
    day = PlannedDay(
        rig_id="wide",
        rig_name="Wide",
        on=now.date(),
        leave_utc=now,
        back_utc=now + timedelta(hours=3),
        stops=(stop,),
        miles=7,
        acres=118,
    )
    return RoutePlan(
        start_utc=now,
        time_zone="America/Chicago",
        method="searched",
        days=(day,),
        fields=1,
        acres=118,
        acres_full=118,
        worth_ac=95.9,
        miles=7,
        made_utc=now,
        basis="ab" * 32,
    )


def note(number: int, now, **told: object) -> RouteNote:
    usual = {"uuid": UUID(int=number), "kind": "skip", "noted_utc": now, "field_id": "nd"}
    return RouteNote(**{**usual, **told})


def test_every_plan_kept_has_a_higher_revision_and_comes_back_whole(
    stores, farm_address, plan, now
):
    assert stores.route_plans.latest() is None
    first, second = (stores.route_plans.keep(plan, now) for _ in range(2))
    assert (first.revision, second.revision) == (1, 2)
    assert first.uuid != second.uuid
    assert stores.route_plans.next_revision() == 3
    with open_stores(farm_address, ".") as again:
        assert again.route_plans.latest() == second
    assert second == plan.model_copy(update={"uuid": second.uuid, "revision": 2})


def test_reports_come_back_in_the_order_they_were_told(stores, now):
    told = [
        note(2, now, why="gate"),
        note(1, now, kind="rig_out", field_id=None, rig_id="wide", from_utc=now),
    ]
    for one in told:
        stores.route_notes.add(one, now)
    assert stores.route_notes.all() == tuple(told)
    with pytest.raises(StorageError):
        stores.route_notes.add(told[0], now)


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("route_plans", "record = REPLACE(record, '118', '119')"),
        ("route_plans", "revision = 7"),
        ("route_notes", "record = REPLACE(record, 'gate', 'pump')"),
        ("route_notes", "uuid = '00000000-0000-0000-0000-00000000000f'"),
    ],
)
def test_a_row_that_was_altered_is_named_and_not_read(stores, behind, plan, now, table, change):
    stores.route_plans.keep(plan, now)
    stores.route_notes.add(note(1, now, why="gate"), now)
    behind(f"UPDATE {table} SET {change}")
    read = {"route_plans": stores.route_plans.latest, "route_notes": stores.route_notes.all}
    with pytest.raises(StorageError, match=f"{table} row 1: its content does not match its seal"):
        read[table]()
    (looked,) = (one for one in look_at_seals(stores.database) if one.name == table)
    assert (looked.rows, len(looked.damaged)) == (1, 1)


@pytest.mark.parametrize(
    "told",
    [
        {"rig_id": "wide"},
        {"field_id": None},
        {"kind": "rig_out"},
        {"kind": "rig_out", "field_id": None, "rig_id": "wide"},
    ],
    ids=["both", "neither", "a rig's of a field", "no time"],
)
def test_a_report_is_of_one_field_or_of_one_rig_with_a_time(now, told):
    with pytest.raises(ValidationError):
        note(1, now, **told)
