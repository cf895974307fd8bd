"""A typical year of Greensboro, North Carolina, driven through the whole chain every morning.

The hours are the typical meteorological year that comes with pvlib (723170TYA, US National
Renewable Energy Laboratory), September to November, taken as those of 2026 and as a perfect
forecast. Gusts are not in it and are taken as 1.4 times the wind; hours of rain as certain rain.
"""

import json
import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

import numpy as np
import pytest

from agronomy.hourly_forecast import QUANTITIES, CellForecast, on_common_hours
from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.farm_morning import FarmMorning
from dispatch.field_rules import FieldRules
from dispatch.outlook import field_outlook
from dispatch.policy import Climate, DispatchPolicy
from dispatch.ranking import rank_fields
from dispatch.readiness import judge_maturity
from dispatch.report import Call, FieldCall, MorningReport
from farm.field import Field
from farm.records import Visit
from farm.rig import Rig
from farm.treatment import Treatment

ZONE = "America/New_York"
#: Greensboro keeps Eastern Standard Time in the file [h from UTC].
STANDARD_H = -5
FIRST_MORNING = datetime(2026, 9, 15, 11, 10, tzinfo=UTC)
MORNINGS = 62
#: More than this in an hour is a mark of the file, not rain [mm]; the depth reaches 500.
RAIN_MAX_MM = 100.0
GUST_OF_WIND = 1.4

#: Round figures for the place, from memory; first freezes about the end of October.
CLIMATE = Climate(
    first_freeze_day=302,
    first_freeze_sd_days=10,
    killing_freeze_day=314,
    killing_freeze_sd_days=10,
    normal_high_f=(86, 80, 70, 61, 51),
    normal_low_f=(67, 61, 49, 39, 31),
    wet_day_pct=30,
)
RULES = FieldRules(
    SprayGates(), MaturityRules(), Treatment(id="mix", name="Mix", rain_free_h=12), CLIMATE
)
#: Day from the first morning on which each invented field reaches NACB 4.
RIPE_ON = {"early": -10, "middle": 8, "late": 25, "last": 45}
FIELDS = tuple(
    Field(
        id=name,
        name=name,
        grower_id="g",
        latitude=36.1,
        longitude=-79.95,
        acres=60 + 20 * number,
        time_zone=ZONE,
        treatment_id="mix",
    )
    for number, name in enumerate(RIPE_ON)
)


@dataclass(frozen=True, eq=False)
class Season:
    """Every morning's report, how long they took, and the file's own freezes."""

    reports: tuple[MorningReport, ...]
    start_utc: datetime
    temp_f: np.ndarray

    def first_at_or_below(self, line_f: float) -> datetime:
        return self.start_utc + timedelta(hours=int((self.temp_f <= line_f).argmax()))

    def calls(self, name: str) -> list[FieldCall]:
        return [next(one for one in each.fields if one.field.id == name) for each in self.reports]


@pytest.fixture(scope="module")
def hours():
    """September to November of the file in the house's units, and the first hour."""
    pvlib = pytest.importorskip("pvlib")
    path = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    if not path.is_file():
        pytest.skip(f"pvlib came without {path.name}")
    year, _ = pvlib.iotools.read_tmy3(path, map_variables=True, coerce_year=2001)
    autumn = year[(year.index.month >= 9) & (year.index.month <= 11)]
    local = autumn.index[0].replace(tzinfo=None, year=2026)
    start = (local - timedelta(hours=STANDARD_H)).to_pydatetime().replace(tzinfo=UTC)
    return _hourly(autumn), start


def _hourly(autumn):
    temp = autumn["temp_air"].to_numpy() * 1.8 + 32
    wind = autumn["wind_speed"].to_numpy() / 0.44704
    depth = autumn["Lprecip depth (mm)"].to_numpy(dtype=float)
    rain = np.where((depth >= 0) & (depth <= RAIN_MAX_MM), depth / 25.4, np.nan)
    told = {
        "temp_f": temp,
        "window_low_f": _window_lows(temp),
        "humidity_pct": autumn["relative_humidity"].to_numpy(dtype=float),
        "wind_mph": wind,
        "gust_mph": wind * GUST_OF_WIND,
        "wind_from_deg": autumn["wind_direction"].to_numpy(dtype=float),
        "sky_pct": autumn["TotCld (tenths)"].to_numpy(dtype=float) * 10,
        "rain_in": rain,
        "rain_chance_pct": np.where(np.isnan(rain), np.nan, np.where(rain >= 0.01, 100.0, 0.0)),
    }
    return {name: np.asarray(values, np.float32) for name, values in told.items()}


def _window_lows(temp_f):
    """Lowest of 7 pm to 9 am standard time, in each hour of that window; the file starts at 0."""
    lows = np.full(len(temp_f), np.nan)
    for evening in range(-5, len(temp_f), 24):
        window = slice(max(0, evening), min(evening + 14, len(temp_f)))
        lows[window] = temp_f[window].min()
    return lows


def _issue(hours, start, now):
    """The perfect forecast of one morning: seven whole days of hours, eight of nights."""
    at = now.replace(minute=0)
    first = int((at - start) / timedelta(hours=1))
    cut = {name: values[first : first + 216].copy() for name, values in hours.items()}
    for name, values in cut.items():
        values[192 if name == "window_low_f" else 168 :] = np.nan
    cut["rain_chance_from_h"] = np.float32(
        (at - datetime(1970, 1, 1, tzinfo=UTC)) / timedelta(hours=1)
    ) + np.arange(216, dtype=np.float32)
    assert set(cut) == set(QUANTITIES)
    return CellForecast(
        cell_id="tmy:greensboro",
        source="Typical year",
        issued_utc=now - timedelta(hours=2),
        fetched_utc=now,
        start_utc=at,
        hourly=cut,
        elevation_ft=896.0,
    )


def _visits(now):
    """Every field counted the day before, a node a week: NACB 4 on its day."""
    observed = now - timedelta(days=1)
    on = (observed - FIRST_MORNING) / timedelta(days=1)
    for name, ripe in RIPE_ON.items():
        nodes = min(12.0, max(0.0, 4 + (ripe - on) / 7))
        yield Visit(
            uuid=uuid5(NAMESPACE_URL, f"{name} {observed}"),
            field_id=name,
            observed_utc=observed,
            plants_counted=20,
            nodes_above_cracked_boll=round(nodes, 2),
            percent_open=round(min(100.0, max(0.0, 60 + (4 - nodes) * 10)), 1),
        )


@pytest.fixture(scope="module")
def season(hours):
    values, start = hours
    farm = FarmMorning(
        name="Invented farm",
        time_zone=ZONE,
        registered=FIELDS,
        rules={one.id: RULES for one in FIELDS},
        rigs=(Rig(id="r", name="Rig", speed_mph=12, swath_ft=90),),
        growers={"g": "Grower"},
        treatments={"mix": "Mix"},
        sprays={},
        policy=DispatchPolicy(),
    )
    reports = []
    for number in range(MORNINGS):
        now = FIRST_MORNING + timedelta(days=number)
        issue = _issue(values, start, now)
        forecast = on_common_hours([(issue.cell_id, issue, "")], issue.start_utc)
        outlook = field_outlook(forecast, dict.fromkeys(RIPE_ON, 0), FIELDS, farm.rules)
        maturity = judge_maturity(list(_visits(now)), FIELDS, farm.rules, now)
        reports.append(rank_fields(farm, [outlook], maturity, now)[0])
    return Season(tuple(reports), start, values["temp_f"])


def test_the_file_is_the_season_the_other_tests_speak_of(season):
    # Read off the file: the first 32 F on 12 November, and nothing at 28 F in these months.
    first = season.first_at_or_below(32.0).astimezone(UTC)
    assert (first.month, first.day) == (11, 12)
    assert 28.0 < season.temp_f.min() < 29.0


def test_every_morning_accounts_for_every_field(season):
    for report in season.reports:
        assert sum(report.run.counts.values()) == len(FIELDS) == len(report.fields)
        assert set(report.run.counts) == set(Call)


def test_no_morning_writes_nan(season):
    def refuse(word):
        raise AssertionError(word)

    for report in season.reports:
        told = json.loads(report.model_dump_json(), parse_constant=refuse)
        assert "nan" not in json.dumps(told).casefold()


def test_a_ripe_field_is_sprayed_on_warm_mornings_of_september(season):
    early = season.calls("early")[:16]
    assert sum(one.call is Call.SPRAY for one in early) >= 3


def test_a_field_not_ripe_is_never_called_for_spraying(season):
    for name, ripe in RIPE_ON.items():
        for number, one in enumerate(season.calls(name)):
            if number - 1 < ripe:
                assert one.call not in (Call.SPRAY, Call.SHORT), (name, number)


def test_later_fields_come_into_the_line_as_they_ripen(season):
    first = {
        name: next((n for n, one in enumerate(season.calls(name)) if one.rank is not None), 999)
        for name in RIPE_ON
    }
    assert first["early"] < first["middle"] < first["late"] < 999


def test_no_full_window_holds_the_first_freeze_of_the_file(season):
    # A full window wants seven nights without a freeze after its start hours.
    freeze = season.first_at_or_below(32.0)
    full = [
        window
        for report in season.reports
        for one in report.fields
        for window in one.windows
        if window.full
    ]
    assert len(full) > 20
    for window in full:
        assert not window.start_utc <= freeze <= window.end_utc + timedelta(days=6)


def test_the_week_before_the_freeze_is_not_called_spray(season):
    freeze = season.first_at_or_below(32.0)
    for report in season.reports:
        if timedelta(days=2) < freeze - report.run.made_utc < timedelta(days=5):
            assert report.run.counts[Call.SPRAY] == 0
            assert all(one.freeze.first_utc is not None for one in report.fields)


def test_a_spray_is_worth_less_as_the_season_cools(season):
    worth = [one.factors_now.effect_pct if one.factors_now else math.nan for one in _early(season)]
    third = MORNINGS // 3
    first, middle, last = (np.nanmean(worth[n * third : (n + 1) * third]) for n in range(3))
    assert first > middle > last
    assert first - last > 15


def _early(season):
    return season.calls("early")
