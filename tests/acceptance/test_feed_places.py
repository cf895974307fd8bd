"""Answers of cells that moved or are of another place, F32 and F35, in whole mornings."""

import json

import pytest

from tests.acceptance.feed_farm import CELL_OF, GIN, NORTH, SOUTH, cell_file, cell_path
from tests.acceptance.weather_service import problem


def test_f32_a_cell_that_is_gone_is_looked_up_again_once(feed):
    feed.morning(dry=False)
    moved = cell_path(NORTH).replace("62,86", "70,90")
    answers = feed.service.answers
    (answers / (moved.strip("/").replace("/", "_") + ".json")).write_bytes(
        (answers / cell_file(NORTH)).read_bytes()
    )
    feed.service.faults[cell_path(NORTH)] = problem("Marine Forecast Not Supported", 404)
    for file in answers.glob("points_*.json"):
        file.write_text(
            file.read_text().replace('"gridX": 62, "gridY": 86', '"gridX": 70, "gridY": 90')
        )
    feed.service.asked.clear()
    told = feed.morning(at="2026-10-06T07:00")

    assert told.code == 0
    assert told.of(NORTH)["forecast"]["cell_id"] == "nws:QQX/70,90"
    assert sum(path.startswith("/points") for path in feed.service.asked) == 1


@pytest.mark.parametrize(
    ("east_deg", "wide_deg"),
    [pytest.param(0.06, 0.0, id="F32-moved"), pytest.param(0.4, 0.5, id="F32-far-centre")],
)
def test_an_answer_whose_cell_lies_elsewhere_is_not_used(feed, east_deg, wide_deg):
    answers = feed.service.answers
    answer = json.loads((answers / cell_file(NORTH)).read_bytes())
    ring = answer["geometry"]["coordinates"][0]
    middle = [sum(part) / len(ring) for part in zip(*ring, strict=True)]
    for corner in ring:
        for axis in (0, 1):
            side = 1 if corner[axis] > middle[axis] else -1
            corner[axis] += side * wide_deg + (east_deg if axis == 0 else 0)
    (answers / cell_file(NORTH)).write_text(json.dumps(answer))
    told = feed.morning()

    assert told.calls == {GIN: "spray", NORTH: "unknown", SOUTH: "spray"}
    assert told.code == 3
    assert "for another place" in told.of(NORTH)["forecast"]["problem"]


def test_f35_the_answer_of_another_cell_under_this_ones_address_is_not_used(feed):
    answers = feed.service.answers
    (answers / cell_file(NORTH)).write_bytes((answers / cell_file(SOUTH)).read_bytes())
    told = feed.morning()

    assert CELL_OF[NORTH] != CELL_OF[SOUTH]
    assert told.calls == {GIN: "spray", NORTH: "unknown", SOUTH: "spray"}
    assert "for another place" in told.of(NORTH)["forecast"]["problem"]
