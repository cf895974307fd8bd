"""The plain, slow way of the benchmark as a second opinion on every hour of an answer."""

import json

import pytest

from benchmarks.parse import CHECKED, differing_layers, plain_forecast
from scheduler.demo.cells import CELLS
from tests.forecasts.answers import as_bytes, gridpoint


@pytest.mark.parametrize("name", list(CELLS)[:2])
def test_both_ways_agree_on_invented_answers(name):
    assert differing_layers(json.dumps(CELLS[name].answer()).encode()) == []


@pytest.mark.parametrize("name", ["FGZ_74_89__2024-02-20", "TBW_93_38__pynws-old"])
def test_both_ways_agree_on_recorded_answers(name, recorded_answers):
    file = recorded_answers / "payloads" / "nws_gridpoints" / f"{name}.json"
    assert differing_layers(file.read_bytes()) == []


def test_the_plain_way_reads_what_is_checked():
    assert set(CHECKED) <= set(plain_forecast(as_bytes(gridpoint())).columns)
