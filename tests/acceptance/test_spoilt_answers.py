"""The demo's recorded answers spoilt in every way we can think of: never a spray that was none."""

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from scheduler.opening import open_farm
from storage.stores import open_stores

LAYERS = (
    "temperature",
    "minTemperature",
    "relativeHumidity",
    "windSpeed",
    "windGust",
    "probabilityOfPrecipitation",
    "quantitativePrecipitation",
)

Spoil = Callable[[dict[str, Any]], None]


def null_every_third(layer: str) -> Spoil:
    """Every third value of a layer becomes null."""

    def spoil(properties: dict[str, Any]) -> None:
        for entry in properties[layer]["values"][::3]:
            entry["value"] = None

    return spoil


def without(layer: str) -> Spoil:
    """The layer is not in the answer at all."""

    def spoil(properties: dict[str, Any]) -> None:
        del properties[layer]

    return spoil


def emptied(layer: str) -> Spoil:
    """The layer is there without values."""

    def spoil(properties: dict[str, Any]) -> None:
        properties[layer]["values"] = []

    return spoil


def other_unit(layer: str) -> Spoil:
    """The layer names a unit nobody knows."""

    def spoil(properties: dict[str, Any]) -> None:
        properties[layer]["uom"] = "wmoUnit:furlong"

    return spoil


def cut_to(layer: str, share: float) -> Spoil:
    """The layer ends early."""

    def spoil(properties: dict[str, Any]) -> None:
        values = properties[layer]["values"]
        properties[layer]["values"] = values[: int(len(values) * share)]

    return spoil


def older(hours: int) -> Spoil:
    """The provider issued it some hours earlier."""

    def spoil(properties: dict[str, Any]) -> None:
        issued = datetime.fromisoformat(properties["updateTime"])
        properties["updateTime"] = (issued - timedelta(hours=hours)).isoformat()

    return spoil


def no_issue_time(properties: dict[str, Any]) -> None:
    """The answer does not say when it was issued."""
    del properties["updateTime"]


def from_the_future(properties: dict[str, Any]) -> None:
    """The answer says it was issued tomorrow."""
    properties["updateTime"] = "2026-10-07T12:00:00+00:00"


SPOILS: list[Any] = [
    pytest.param(spoil(layer), id=f"{spoil.__name__}-{layer}")
    for layer in LAYERS
    for spoil in (null_every_third, without, emptied, other_unit)
]
SPOILS += [
    pytest.param(cut_to(layer, share), id=f"cut-to-{share}-{layer}")
    for layer in LAYERS
    for share in (0.1, 0.5, 0.9)
]
SPOILS += [pytest.param(older(hours), id=f"older-by-{hours}-h") for hours in (4, 9, 20, 80)]
SPOILS += [no_issue_time, from_the_future]


@pytest.fixture(scope="session")
def calls_as_told(demo_made_once: Path) -> dict[str, str]:
    """The demo's calls before anything is spoilt."""
    with open_farm(demo_made_once / "farm.toml") as farm:
        report = farm.stores.plans.latest()
    assert report is not None
    return {one.field.id: one.call.value for one in report.fields}


@pytest.mark.parametrize("spoil", SPOILS)
def test_spoilt_answers_never_turn_another_call_into_spray(spoil, demo, morning, calls_as_told):
    for path in (demo / "answers").glob("gridpoints_*.json"):
        answer = json.loads(path.read_text())
        spoil(answer["properties"])
        path.write_text(json.dumps(answer))
    (demo / "warmspell.sqlite3").rename(demo / "kept.sqlite3")
    _records_only(demo)

    code, told = morning(demo, "--dry-run")

    after = {one["field_id"]: one["call"] for one in told["fields"]}
    turned = [
        key for key, call in after.items() if call == "spray" and calls_as_told[key] != "spray"
    ]
    assert turned == []
    assert sum(told["run"]["counts"].values()) == len(calls_as_told) == len(after)
    assert code in (0, 3, 69)


def _records_only(demo: Path) -> None:
    """A database with the visits and sprays but no forecast remembered."""
    with (
        open_stores("kept.sqlite3", demo) as kept,
        open_stores("warmspell.sqlite3", demo) as fresh,
    ):
        at = max(visit.observed_utc for visit in kept.visits.all())
        fresh.visits.add(kept.visits.all(), at)
        for spray in kept.sprays.all():
            fresh.sprays.add(spray, at)


def test_the_demo_itself_does_say_spray(calls_as_told):
    """The twin: what is spoilt above was good enough to spray."""
    assert list(calls_as_told.values()).count("spray") >= 6
