"""Bodies broken at random, F36 of the fault list: no crash, and never a spray that was none.

``FUZZ_BODIES=5000`` in the environment breaks more of them.
"""

import json
import math
import os
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from dispatch.report import Call
from forecasts.cells import Place
from forecasts.fetch import FetchedForecast, fetch_hourly
from forecasts.memory import MemoryInProcess
from forecasts.nws import NwsSource, point_path
from forecasts.settings import ForecastSettings
from forecasts.transport import Answer
from tests.dispatch.skies import NOW, cotton, morning
from tests.forecasts.answers import layer, point

#: Bodies broken in all, and in one morning; each has a cell and a field of its own.
BODIES = int(os.environ.get("FUZZ_BODIES", "2000"))
CELLS = 100

FIELDS = [cotton(number) for number in range(CELLS)]
PLACES = [Place(one.id, one.latitude, one.longitude + 0.1 * n) for n, one in enumerate(FIELDS)]
SETTINGS = ForecastSettings(contact="x@y.example")

#: First hour of the answers, 1 am on the farm's clock, and their length.
FROM, DAYS = datetime(2026, 10, 6, 6, tzinfo=UTC), 9


def every(hours: int, value: Callable[[float], float], unit: str) -> dict[str, Any]:
    """A layer told in steps; ``value`` of the local hour of each step's middle."""
    entries = []
    for first in range(0, 24 * DAYS, hours):
        at = (FROM + timedelta(hours=first)).isoformat()
        entries.append((f"{at}/PT{hours}H", value(first + 1 + hours / 2)))
    return layer(unit, *entries)


def answer(
    *,
    low_c: float = 13.0,
    high_c: float = 29.0,
    wind_km_h: float = 9.7,
    gust_km_h: float = 16.0,
    rain_mm: float = 0.0,
    rain_chance_pct: float = 0.0,
) -> dict[str, Any]:
    """A whole answer for nine days that are all alike."""

    def temperature(local_h: float) -> float:
        return (low_c + high_c) / 2 + (high_c - low_c) / 2 * math.cos(
            2 * math.pi * (local_h - 16) / 24
        )

    nights = [
        (f"{(FROM + timedelta(days=n, hours=-5)).isoformat()}/PT14H", low_c)
        for n in range(DAYS + 1)
    ]
    return {
        "type": "Feature",
        "properties": {
            "updateTime": "2026-10-06T09:00:00+00:00",
            "validTimes": f"{FROM.isoformat()}/P{DAYS}D",
            "elevation": {"unitCode": "wmoUnit:m", "value": 500.0},
            "gridId": "XYZ",
            "gridX": 1,
            "gridY": 1,
            "temperature": every(3, temperature, "wmoUnit:degC"),
            "minTemperature": layer("wmoUnit:degC", *nights),
            "relativeHumidity": every(12, lambda _: 55, "wmoUnit:percent"),
            "windSpeed": every(12, lambda _: wind_km_h, "wmoUnit:km_h-1"),
            "windGust": every(12, lambda _: gust_km_h, "wmoUnit:km_h-1"),
            "windDirection": every(24, lambda _: 180, "wmoUnit:degree_(angle)"),
            "skyCover": every(24, lambda _: 10, "wmoUnit:percent"),
            "quantitativePrecipitation": every(6, lambda _: rain_mm, "wmoUnit:mm"),
            "probabilityOfPrecipitation": every(12, lambda _: rain_chance_pct, "wmoUnit:percent"),
        },
    }


#: Skies nobody sprays under, each for one reason alone, so that losing it must not matter.
NO_SPRAY = {
    "rain": json.dumps(answer(rain_mm=9)),
    "chance of rain": json.dumps(answer(rain_chance_pct=90)),
    "wind": json.dumps(answer(wind_km_h=30, gust_km_h=30)),
    "gusts": json.dumps(answer(gust_km_h=60)),
    "freeze": json.dumps(answer(low_c=-4, high_c=16)),
}

#: One everybody does.
SPRAY = json.dumps(answer())


class Bodies:
    """A transport that gives each cell the bytes it is told."""

    requests = 0

    def __init__(self, bodies: list[bytes]) -> None:
        self._answers = {
            f"/gridpoints/XYZ/{number},1": body for number, body in enumerate(bodies)
        } | {
            point_path(one.latitude, one.longitude): json.dumps(point("XYZ", number, 1)).encode()
            for number, one in enumerate(PLACES)
        }

    def begin(self, total_deadline_s: float) -> None: ...

    def out_of_time(self) -> bool:
        return False

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        return Answer(self._answers[path])


def at_cell(told: str, number: int) -> dict[str, Any]:
    """An answer for one of the cells."""
    east, north = PLACES[number].longitude, PLACES[number].latitude
    sides = ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    ring = [[east + 0.013 * x, north + 0.011 * y] for x, y in sides]
    return json.loads(told) | {"geometry": {"type": "Polygon", "coordinates": [ring]}}


def fetched(bodies: list[bytes]) -> FetchedForecast:
    return fetch_hourly(
        PLACES,
        NOW,
        source=NwsSource(Bodies(bodies)),
        memory=MemoryInProcess(),
        settings=SETTINGS,
    )


def calls(bodies: list[bytes]) -> list[Call]:
    """The call of each cell's field."""
    told = fetched(bodies)
    report = morning(told.forecast, FIELDS, row_of=told.row_of, rigs=3)
    of_field = {one.field.id: one.call for one in report.fields}
    assert len(of_field) == CELLS
    return [of_field[one.id] for one in FIELDS]


#: What a value of an answer may turn into. None of it is a number that could be true there.
WRONG = (None, True, "", "12.5", "n/a", "-", "\u0000", [], {}, [1], 1e9, -1e9, 1e308, 2**70)


def broken(number: int, told: str, seed: int) -> bytes:
    """A cell's answer, some of it lost, renamed or of another form, then cut or its bytes hurt."""
    chance = Random(seed)
    answer = at_cell(told, number)
    for _ in range(chance.randint(0, 4)):
        way = [chance.randrange(10_000) for _ in range(chance.randint(1, 4))]
        act = chance.choice(("lose", "rename", "turn"))
        _edit(answer["properties"], act, way, chance.choice(WRONG))
    body = bytearray(json.dumps(answer).encode())
    for _ in range(chance.choice((0, 0, 1, 2))):
        body[chance.randrange(len(body))] = chance.choice(b'{}[]",:x')
    return bytes(body if chance.random() < 0.8 else body[: chance.randrange(len(body))])


def _edit(node: Any, act: str, way: list[int], wrong: Any) -> None:
    """Walk down some steps of the way and change what is there."""
    for step, choice in enumerate(way):
        keys = list(node) if isinstance(node, dict) else range(len(node))
        if not keys:
            return
        key = keys[choice % len(keys)]
        below = node[key]
        if step + 1 < len(way) and isinstance(below, dict | list) and below:
            node = below
            continue
        if act == "lose":
            del node[key]
        elif act == "rename" and isinstance(node, dict):
            node[f"{key}X"] = node.pop(key)
        else:
            node[key] = wrong
        return


SEEDS = st.lists(st.integers(0, 2**32 - 1), min_size=CELLS, max_size=CELLS)


def bodies(number: int) -> settings:
    """As many mornings as break about this many bodies."""
    return settings(
        max_examples=max(1, number // CELLS),
        deadline=None,
        # A smaller number is no simpler a fault, so nothing is gained by looking for one.
        phases=(Phase.generate,),
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )


@bodies(BODIES)
@given(st.sampled_from(sorted(NO_SPRAY)), SEEDS)
def test_no_broken_answer_crashes_a_morning_or_turns_a_field_to_spray(sky, seeds):
    told = [broken(number, NO_SPRAY[sky], seed) for number, seed in enumerate(seeds)]
    assert Call.SPRAY not in calls(told)


@pytest.mark.parametrize("sky", sorted(NO_SPRAY))
def test_nobody_sprays_under_these_skies(sky):
    whole = [json.dumps(at_cell(NO_SPRAY[sky], number)).encode() for number in range(CELLS)]
    told = set(calls(whole))

    assert Call.SPRAY not in told
    assert Call.UNKNOWN not in told


def test_the_twin_a_good_sky_is_sprayed_under():
    whole = [json.dumps(at_cell(SPRAY, number)).encode() for number in range(CELLS)]
    assert calls(whole).count(Call.SPRAY) == CELLS


@bodies(BODIES // 4)
@given(SEEDS)
def test_a_broken_good_answer_is_whole_or_says_what_is_wrong(seeds):
    told = fetched([broken(number, SPRAY, seed) for number, seed in enumerate(seeds)])

    for one in PLACES:
        row = told.row_of[one.field_id]
        assert "\n" not in told.forecast.problem[row]
        if np.isnan(told.forecast.temp_f[row]).all():
            assert told.forecast.problem[row] != ""
