"""Nights in which the clocks change, F30 and F31 of the fault list, in whole mornings."""

import json
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from tests.acceptance.feed_farm import NORTH, cell_file, hour_by_hour


def redated(days: int, freezing_hour: str) -> Callable[[bytes], bytes]:
    """An answer moved to another date, 30 F in one hour and warm in all others."""

    def change(body: bytes) -> bytes:
        answer = json.loads(body)
        properties = answer["properties"]
        for layer in ("temperature", "minTemperature"):
            for entry in properties[layer]["values"]:
                entry["value"] = 10.0
        for layer in properties.values():
            for entry in layer.get("values", []) if isinstance(layer, dict) else []:
                start, _, length = entry["validTime"].partition("/")
                moved = datetime.fromisoformat(start) + timedelta(days=days)
                entry["validTime"] = f"{moved.isoformat()}/{length}"
        hour_by_hour(properties, "temperature")[freezing_hour]["value"] = -1.111
        properties["updateTime"] = (
            datetime.fromisoformat(properties["updateTime"]) + timedelta(days=days)
        ).isoformat()
        properties["validTimes"] = ""
        return json.dumps(answer).encode()

    return change


@pytest.mark.parametrize(
    ("days", "at", "hour"),
    [
        # 2026-11-01 in Chicago: 1 am comes twice, at 06Z and 07Z; the second is frozen.
        pytest.param(25, "2026-10-31T06:10", "2026-11-01T07:00:00+00:00", id="F30-25-hours"),
        # 2027-03-14: 2 am does not exist; 3 am is 08Z.
        pytest.param(158, "2027-03-13T06:10", "2027-03-14T08:00:00+00:00", id="F30-23-hours"),
        pytest.param(158, "2027-03-13T06:10", "2027-03-14T07:00:00+00:00", id="F31-before-it"),
    ],
)
def test_the_frozen_hour_of_a_night_the_clocks_change_is_found_where_it_is(feed, days, at, hour):
    file = feed.service.answers / cell_file(NORTH)
    file.write_bytes(redated(days, hour)(file.read_bytes()))
    freeze = feed.morning(at=at).of(NORTH)["freeze"]

    assert datetime.fromisoformat(freeze["first_utc"]) == datetime.fromisoformat(hour)
    assert freeze["low_f"] == pytest.approx(30, abs=0.01)
