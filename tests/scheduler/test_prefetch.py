"""How long before its morning a farm begins to fetch, and what is not asked for again."""

from datetime import UTC, date, datetime, time, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest

from forecasts.settings import ForecastSettings
from scheduler.due import SendTimes
from scheduler.forecasts_at_work import ForecastsAtWork
from scheduler.prefetch import Prefetch
from storage.stores import open_stores

TIMES = SendTimes(ZoneInfo("America/Chicago"), time(6), time(6, 45), time(12))
NOW = datetime(2026, 10, 6, 10, tzinfo=UTC)


def prefetch_of(fields: int, fields_a_cell: int, per_second: float, known: bool = True) -> Prefetch:
    """For a farm whose fields lie so many to a cell."""

    def grid_cell(latitude: float, longitude: float):
        return SimpleNamespace(id=f"nws:{int(latitude)}") if known else None

    places = [SimpleNamespace(latitude=n // fields_a_cell, longitude=n) for n in range(fields)]
    forecast = ForecastSettings(contact="office@x.example", requests_per_second=per_second)
    farm = SimpleNamespace(
        config=SimpleNamespace(fields=places, settings=SimpleNamespace(forecast=forecast)),
        stores=SimpleNamespace(forecasts=SimpleNamespace(grid_cell=grid_cell)),
    )
    return Prefetch(farm, None, TIMES, lambda: NOW)


@pytest.mark.parametrize(
    ("fields", "a_cell", "per_second", "known", "minutes"),
    [
        # 2,500 cells at 2 a second take 1,250 s; half as long again is 31.25 minutes.
        pytest.param(5000, 2, 2.0, True, 31.25, id="2,500 cells"),
        pytest.param(3, 1, 2.0, True, 15, id="three cells: never less than a quarter hour"),
        # Each of 2,500 places takes two requests where its cell is not known yet.
        pytest.param(2500, 1, 2.0, False, 62.5, id="no cell known yet"),
        pytest.param(2500, 1, 0.1, True, 180, id="never more than three hours"),
    ],
)
def test_all_cells_fit_before_the_morning_at_the_pace_set(
    fields, a_cell, per_second, known, minutes
):
    lead = prefetch_of(fields, a_cell, per_second, known).lead(NOW)
    assert lead == timedelta(minutes=minutes)


def test_a_cell_is_worth_asking_again_once_the_time_has_passed_or_the_clock_went_back(tmp_path):
    now = [NOW]
    with open_stores("farm.sqlite3", tmp_path) as stores:
        memory = ForecastsAtWork(stores.database, lambda: now[0])
        memory.note_asked("nws:a")
        assert not memory.asked_lately("nws:a")
        memory.lately = timedelta(minutes=15)
        for minutes, lately in ((0, True), (14.9, True), (15, False), (-1, False)):
            now[0] = NOW + timedelta(minutes=minutes)
            assert memory.asked_lately("nws:a") is lately
        now[0] = NOW
        assert not memory.asked_lately("nws:b")


def test_fetching_ahead_is_known_by_its_date(tmp_path):
    with open_stores("farm.sqlite3", tmp_path) as stores:
        assert stores.runs.newest("ahead") is None
        for day, code in ((6, 3), (5, 0)):
            number = stores.runs.begin(date(2026, 10, day), "ahead", NOW + timedelta(days=day))
            stores.runs.finish(number, code, NOW + timedelta(days=day), sent=code == 0)
        newest = stores.runs.newest("ahead")
    assert (newest.local_date, newest.exit_code) == (date(2026, 10, 6), 3)
    assert newest.finished_utc == NOW + timedelta(days=6)
