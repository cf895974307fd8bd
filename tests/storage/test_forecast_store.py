"""Forecasts of cells, and cells of places."""

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farm.grid_cell import GridCell
from storage.errors import StorageError


def _temp_f(cell) -> float:
    return float(cell.hourly["temp_f"][0])


def test_the_newest_issue_is_the_latest_and_older_ones_stay(stores, a_forecast, now):
    older_utc = now - timedelta(hours=6)
    assert stores.forecasts.keep(a_forecast(issued_utc=older_utc, temp_f=55.0)) is True
    assert stores.forecasts.keep(a_forecast(issued_utc=now, temp_f=61.0)) is True

    cell_id = "nws:XYZ/10,20"
    assert _temp_f(stores.forecasts.latest(cell_id)) == 61.0
    assert _temp_f(stores.forecasts.on(cell_id, older_utc)) == 55.0
    assert stores.forecasts.issues(cell_id) == (older_utc, now)
    assert stores.forecasts.on(cell_id, now + timedelta(hours=1)) is None
    assert stores.forecasts.latest("nws:XYZ/11,20") is None
    assert stores.forecasts.issues("nws:XYZ/11,20") == ()


@pytest.mark.parametrize("back_h", [0, 1], ids=["same issue", "an hour older"])
def test_a_forecast_never_steps_backwards(stores, a_forecast, now, back_h):
    stores.forecasts.keep(a_forecast(issued_utc=now, temp_f=61.0))
    back = a_forecast(issued_utc=now - timedelta(hours=back_h), temp_f=99.0)

    assert stores.forecasts.keep(back) is False
    assert _temp_f(stores.forecasts.latest(back.cell_id)) == 61.0
    assert stores.forecasts.issues(back.cell_id) == (now,)


def test_a_forecast_of_unknown_issue_is_kept_only_where_there_is_none(stores, a_forecast, now):
    unknown = a_forecast(issued_utc=None, temp_f=50.0)
    assert stores.forecasts.keep(unknown) is True
    assert stores.forecasts.keep(unknown) is False
    assert _temp_f(stores.forecasts.latest(unknown.cell_id)) == 50.0

    assert stores.forecasts.keep(a_forecast(issued_utc=now)) is True
    assert stores.forecasts.keep(unknown) is False
    assert stores.forecasts.latest(unknown.cell_id).issued_utc == now
    assert stores.forecasts.issues(unknown.cell_id) == (None, now)
    assert _temp_f(stores.forecasts.on(unknown.cell_id, None)) == 50.0


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(hours=st.lists(st.none() | st.integers(0, 12), min_size=1, max_size=8))
def test_whatever_order_issues_come_in_the_latest_only_gets_newer(stores, a_forecast, now, hours):
    cell_id = f"nws:XYZ/{np.random.default_rng().integers(1 << 60)},0"
    known = [hour for hour in hours if hour is not None]
    for hour in hours:
        issued_utc = None if hour is None else now + timedelta(hours=hour)
        before = stores.forecasts.latest(cell_id)
        kept = stores.forecasts.keep(a_forecast(cell_id, issued_utc))
        after = stores.forecasts.latest(cell_id)
        assert kept == (before is None or after.issued_utc != before.issued_utc)

    newest = stores.forecasts.latest(cell_id).issued_utc
    assert newest == (now + timedelta(hours=max(known)) if known else None)


def test_many_cells_are_kept_and_read_together(stores, a_forecast, now):
    ids = [f"nws:XYZ/{number},7" for number in range(150)]
    old = [a_forecast(one, now - timedelta(hours=3)) for one in ids[:100]]
    new = [a_forecast(one, temp_f=float(place)) for place, one in enumerate(ids)]

    assert stores.forecasts.keep_many(old) == 100
    assert stores.forecasts.keep_many([*old, *new, *new]) == 150
    latest = stores.forecasts.latest_many([*ids, "nws:XYZ/999,7"])
    assert {one: _temp_f(cell) for one, cell in latest.items()} == {
        one: float(place) for place, one in enumerate(ids)
    }
    assert stores.forecasts.latest_many([]) == {}
    assert stores.forecasts.keep_many([]) == 0


def test_a_batch_with_one_bad_forecast_is_not_kept_at_all(stores, a_forecast):
    bad = a_forecast("nws:XYZ/2,2")
    bad.hourly["rain_in"] = bad.hourly["rain_in"][:-1]

    with pytest.raises(StorageError, match=r"forecast of cell nws:XYZ/2,2 not kept: .*rain_in"):
        stores.forecasts.keep_many([a_forecast("nws:XYZ/1,1"), bad])
    assert stores.forecasts.latest("nws:XYZ/1,1") is None


def test_pruning_takes_old_issues_but_never_the_newest_of_a_cell(stores, a_forecast, now):
    days_ago = [now - timedelta(days=days) for days in (9, 8, 1)]
    for issued_utc in days_ago:
        stores.forecasts.keep(a_forecast("nws:XYZ/1,1", issued_utc))
    for issued_utc in (None, *days_ago[:2]):
        stores.forecasts.keep(a_forecast("nws:XYZ/2,2", issued_utc, fetched_utc=days_ago[0]))

    assert stores.forecasts.prune(now - timedelta(days=7)) == 4
    assert stores.forecasts.issues("nws:XYZ/1,1") == (days_ago[2],)
    assert stores.forecasts.issues("nws:XYZ/2,2") == (days_ago[1],)


@pytest.mark.parametrize(
    "change",
    [
        pytest.param("block = substr(block, 1, length(block) - 9)", id="cut"),
        pytest.param("cell_id = 'nws:XYZ/10,21'", id="cell changed"),
        pytest.param("issued_utc = '2026-10-06 10:31:00.000000'", id="issue changed"),
    ],
)
def test_a_damaged_forecast_is_named_never_used(stores, a_forecast, change):
    stores.forecasts.keep(a_forecast())
    with stores.database.write() as connection:
        connection.exec_driver_sql(f"UPDATE forecasts SET {change}")

    with pytest.raises(StorageError, match=r"forecast of cell nws:XYZ/10,2[01] issued 2026-10-06"):
        stores.forecasts.latest_many(["nws:XYZ/10,20", "nws:XYZ/10,21"])


def test_a_place_keeps_its_newest_cell_until_it_is_forgotten(stores, now):
    first = GridCell(id="nws:XYZ/10,20", time_zone="America/Chicago", resolved_utc=now)
    moved = GridCell(id="nws:XYZ/11,20", resolved_utc=now + timedelta(days=1))
    forecasts = stores.forecasts

    assert forecasts.grid_cell(34.1, -101.6) is None
    forecasts.keep_grid_cell(34.1, -101.6, first)
    assert forecasts.grid_cell(34.10004, -101.59996) == first
    assert forecasts.grid_cell(34.1, -101.6001) is None
    forecasts.keep_grid_cell(34.1, -101.6, moved)
    assert forecasts.grid_cell(34.1, -101.6) == moved
    forecasts.forget_grid_cell(34.1, -101.6)
    forecasts.forget_grid_cell(34.1, -101.6)
    assert forecasts.grid_cell(34.1, -101.6) is None


def test_a_place_on_the_equator_is_one_place_from_both_sides(stores, now):
    cell = GridCell(id="other:1,1", resolved_utc=now)
    stores.forecasts.keep_grid_cell(-0.00001, 20.0, cell)

    assert stores.forecasts.grid_cell(0.00001, 20.0) == cell


def test_the_history_of_a_cell_comes_in_the_order_it_was_fetched(stores, a_forecast, now):
    for hours in (0, 6, 12):
        moment = now + timedelta(hours=hours)
        stores.forecasts.keep(
            a_forecast(issued_utc=moment, fetched_utc=moment, temp_f=50.0 + hours)
        )
    stores.forecasts.keep(a_forecast("nws:XYZ/11,20"))

    assert [_temp_f(one) for one in stores.forecasts.history("nws:XYZ/10,20")] == [50, 56, 62]
    assert list(stores.forecasts.history("nws:XYZ/12,20")) == []


def test_what_had_been_fetched_by_a_moment_is_found_again(stores, a_forecast, now):
    cell_id = "nws:XYZ/10,20"
    for hours in (0, 6):
        moment = now + timedelta(hours=hours)
        stores.forecasts.keep(
            a_forecast(issued_utc=moment, fetched_utc=moment + timedelta(hours=1))
        )

    def issued(hours):
        found = stores.forecasts.latest_fetched_by(cell_id, now + timedelta(hours=hours))
        return found and (found.issued_utc - now) / timedelta(hours=1)

    assert [issued(hours) for hours in (0.9, 1, 6.9, 7, 99)] == [None, 0, 0, 6, 6]
