"""Answers that came whole and are wrong, F17 to F29 and F36 of the fault list, in whole mornings.

Each spoils the answer of one cell of three, whose three fields are all sprayed while it is right.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from forecasts.interval import hours_of
from tests.acceptance.feed_farm import GIN, NORTH, SOUTH, cell_file, hour_by_hour, issued

Properties = dict[str, Any]
Spoil = Callable[[Properties], None]

#: The first night after the morning, 4 am, and this afternoon, 3 pm, on the farm's clock.
TONIGHT, AFTERNOON = "2026-10-07T09:00:00+00:00", "2026-10-06T20:00:00+00:00"

#: An hour in the twelve dry ones after every hour of today's window, 7 pm.
EVENING = "2026-10-07T00:00:00+00:00"


def hours_nulled(layer: str, at: str, hours: int = 1) -> Spoil:
    def spoil(properties: Properties) -> None:
        entries = hour_by_hour(properties, layer)
        for k in range(hours):
            entries[(datetime.fromisoformat(at) + timedelta(hours=k)).isoformat()]["value"] = None

    return spoil


def hour_left_out(layer: str, at: str) -> Spoil:
    def spoil(properties: Properties) -> None:
        entries = hour_by_hour(properties, layer)
        properties[layer]["values"].remove(entries[at])

    return spoil


def hour_told_twice(layer: str, at: str, more: float) -> Spoil:
    def spoil(properties: Properties) -> None:
        entry = hour_by_hour(properties, layer)[at]
        properties[layer]["values"].append(entry | {"value": entry["value"] + more})

    return spoil


def out_of_order(properties: Properties) -> None:
    for layer in properties.values():
        if isinstance(layer, dict) and "values" in layer:
            layer["values"].reverse()


def celsius_called_fahrenheit(properties: Properties) -> None:
    for layer in ("temperature", "minTemperature"):
        properties[layer]["uom"] = "wmoUnit:degF"


def fahrenheit_called_celsius(properties: Properties) -> None:
    for layer in ("temperature", "minTemperature"):
        for entry in properties[layer]["values"]:
            entry["value"] = entry["value"] * 1.8 + 32


def without_unit(layer: str) -> Spoil:
    return lambda properties: properties[layer].pop("uom")


def renamed(layer: str) -> Spoil:
    return lambda properties: properties.update({"new": properties.pop(layer)})


def as_text(layer: str) -> Spoil:
    def spoil(properties: Properties) -> None:
        for entry in properties[layer]["values"]:
            entry["value"] = str(entry["value"])

    return spoil


def ends_after(days: int) -> Spoil:
    def spoil(properties: Properties) -> None:
        for layer in properties.values():
            if isinstance(layer, dict) and layer.get("values"):
                first, _ = hours_of(layer["values"][0]["validTime"])
                layer["values"] = [
                    one
                    for one in layer["values"]
                    if hours_of(one["validTime"])[1] <= first + 24 * days
                ]

    return spoil


def jump(properties: Properties) -> None:
    hour_by_hour(properties, "temperature")[AFTERNOON]["value"] += 20


#: A spoilt answer, and what the morning says of its field: a reason, a refusal or a problem.
NOT_KNOWN = [
    pytest.param(hours_nulled("temperature", TONIGHT), "freeze is not ruled out", id="F17-night"),
    pytest.param(
        hours_nulled("temperature", TONIGHT, 3), "freeze is not ruled out", id="F17-three-hours"
    ),
    pytest.param(hours_nulled("quantitativePrecipitation", EVENING), "rain not known", id="F18"),
    pytest.param(hour_left_out("quantitativePrecipitation", EVENING), "rain not known", id="F20"),
    pytest.param(
        hour_left_out("temperature", TONIGHT), "freeze is not ruled out", id="F20-temperature"
    ),
    pytest.param(hour_told_twice("temperature", TONIGHT, 3), "told twice, differently", id="F22"),
    pytest.param(
        hour_told_twice("quantitativePrecipitation", EVENING, 9), "told twice", id="F22-rain"
    ),
    pytest.param(celsius_called_fahrenheit, "mix-up of F and C", id="F24-C-as-F"),
    pytest.param(fahrenheit_called_celsius, "no temperature", id="F24-F-as-C"),
    pytest.param(jump, "within an hour", id="F24-jump"),
    pytest.param(without_unit("temperature"), "the unit is missing", id="F25-temperature"),
    pytest.param(without_unit("windSpeed"), "wind: the unit is missing", id="F25-wind"),
    pytest.param(issued("2026-10-05T20:00:00+00:00"), "15 h old", id="F26"),
    pytest.param(issued("2026-10-06T11:30:00+00:00"), "ahead of the clock", id="F28-ahead"),
    pytest.param(lambda told: told.pop("updateTime"), "issue time: missing", id="F28-missing"),
    pytest.param(ends_after(5), "4 of 7 nights", id="F29"),
    pytest.param(renamed("windSpeed"), "wind: missing from the answer", id="F36-renamed"),
    pytest.param(as_text("windSpeed"), "wind: not in the form expected", id="F36-text"),
    pytest.param(renamed("temperature"), "temperature: missing", id="F36-no-temperature"),
]


@pytest.mark.parametrize(("spoil", "words"), NOT_KNOWN)
def test_a_wrong_answer_leaves_its_own_field_not_known_and_says_why(feed, spoil, words):
    feed.service.change(cell_file(NORTH), spoil)
    told = feed.morning()

    field = told.of(NORTH)
    said = " ".join([field["forecast"]["problem"], *field["forecast"]["rejected"]])
    assert told.calls == {GIN: "spray", NORTH: "unknown", SOUTH: "spray"}
    assert told.code == 3
    assert words in said + " ".join(field["reasons"])


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param(hour_told_twice("temperature", TONIGHT, 0), id="F21"),
        pytest.param(out_of_order, id="F23"),
        pytest.param(lambda told: told.update({"new": {"values": [1]}, "more": 2}), id="F36-new"),
        pytest.param(lambda told: told.update({"gridX": str(told["gridX"])}), id="F36-text-grid"),
    ],
)
def test_an_answer_told_in_another_way_says_the_same(feed, spoil):
    right = feed.morning()
    feed.service.change(cell_file(NORTH), spoil)
    told = feed.morning()

    assert told.code == 0
    assert told.of(NORTH)["windows"] == right.of(NORTH)["windows"]
    assert told.of(NORTH)["freeze"] == right.of(NORTH)["freeze"]
    assert told.of(NORTH)["forecast"]["rejected"] == []


def test_f17_an_hour_of_the_day_without_temperature_never_adds_a_spray(feed):
    feed.service.change(cell_file(NORTH), hours_nulled("temperature", AFTERNOON))
    told = feed.morning()

    assert told.calls[NORTH] in ("unknown", "short")
    assert told.code in (0, 3)


def test_f19_hours_at_the_end_without_values_shorten_what_is_seen_and_the_call_says_so(feed):
    def tail_nulled(properties: Properties) -> None:
        for layer in ("temperature", "minTemperature", "quantitativePrecipitation", "windSpeed"):
            for entry in properties[layer]["values"][-3:]:
                entry["value"] = None

    feed.service.change(cell_file(NORTH), tail_nulled)
    told = feed.morning()

    assert told.calls[NORTH] == "short"
    assert "Short of sight: 5 of 7 nights seen" in " ".join(told.of(NORTH)["reasons"])


def test_f24_a_mix_up_keeps_the_last_good_answer_while_it_is_young(feed):
    feed.morning(dry=False)

    def warmer_by_the_wrong_unit(properties: Properties) -> None:
        for entry in properties["temperature"]["values"]:
            entry["value"] += 11.2  # 20.2 F
        properties["updateTime"] = "2026-10-06T12:30:00+00:00"

    feed.service.change(cell_file(NORTH), warmer_by_the_wrong_unit)
    told = feed.morning(at="2026-10-06T08:00", dry=False)
    again = feed.morning(at="2026-10-06T08:30")

    assert (told.code, told.calls[NORTH]) == (0, "spray")
    assert "F away from the last over the same hours" in told.of(NORTH)["forecast"]["problem"]
    assert told.of(NORTH)["forecast"]["issued_utc"] == "2026-10-06T07:40:00Z"
    assert again.of(NORTH)["forecast"]["issued_utc"] == "2026-10-06T07:40:00Z"


def test_f26_every_request_says_what_it_wants_and_none_carries_a_cache_buster(feed):
    feed.morning()

    assert all("Accept: application/geo+json\r\n" in head for head in feed.service.heads)
    # Alerts have no other address than that of a point.
    asked = [one for one in feed.service.asked if not one.startswith("/alerts/active?point=")]
    assert not any("?" in path for path in asked)


def test_f27_an_older_issue_than_the_one_kept_is_not_a_step_back(feed, caplog):
    feed.morning(dry=False)
    feed.service.change(cell_file(NORTH), issued("2026-10-06T01:00:00+00:00"))
    told = feed.morning(at="2026-10-06T07:00")

    assert (told.code, told.calls[NORTH]) == (0, "spray")
    assert told.of(NORTH)["forecast"]["issued_utc"] == "2026-10-06T07:40:00Z"
    assert "the new answer is an older one" in told.of(NORTH)["forecast"]["problem"]
    assert "forecast of cell nws:QQX/62,86 refused: the new answer is an older" in caplog.text
