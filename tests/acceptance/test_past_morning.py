"""A morning of a time that lies back takes what the archive held by then, and asks nobody."""

import json
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from forecasts.client import WeatherClient
from scheduler.commands import run as warmspell
from scheduler.opening import open_farm


@pytest.fixture
def later(demo, monkeypatch):
    """The demo farm two weeks on, its forecasts from the weather service, which must not be
    asked; every cell has a newer forecast by now."""
    with open_farm(demo / "farm.toml") as farm:
        for one in farm.config.fields:
            cell = farm.stores.forecasts.grid_cell(one.latitude, one.longitude)
            last = cell and farm.stores.forecasts.latest(cell.id)
            if last is not None:
                hourly = last.hourly | {"temp_f": np.full_like(last.hourly["temp_f"], 20.0)}
                moved = {name: getattr(last, name) + timedelta(days=1) for name in _TIMES}
                farm.stores.forecasts.keep(replace(last, hourly=hourly, **moved))
    config = demo / "farm.toml"
    text = config.read_text("utf-8")
    text = text.replace('source = "folder"\npath = "answers"', 'source = "nws"\ncontact = "a@b.c"')
    text = text.replace("2026-10-06T11:10:00Z", "2026-10-20T11:10:00Z")
    assert "2026-10-20" in text
    assert 'source = "nws"' in text
    config.write_text(text, "utf-8")

    def never(self, path, if_modified_since=None):
        raise AssertionError(f"asked for {path}")

    monkeypatch.setattr(WeatherClient, "get", never)
    return demo


_TIMES = ("issued_utc", "fetched_utc", "start_utc")


def told(farm, capsys, at):
    capsys.readouterr()
    config = str(farm / "farm.toml")
    code = warmspell(["morning", "--dry-run", "--json", "--config", config, "--at", at])
    return code, json.loads(capsys.readouterr().out)


def test_a_past_morning_takes_the_forecasts_of_then(later, capsys):
    kept = json.loads((later / "digests" / "morning.json").read_text("utf-8"))
    code, again = told(later, capsys, "2026-10-06T06:10")
    assert code == 3
    assert again["fields"] == kept["fields"]
    assert again["run"] == kept["run"]
    with open_farm(later / "farm.toml") as farm:
        report = farm.stores.plans.latest("dry-run")
        inputs = farm.stores.plans.inputs_of(report, "dry-run")
    # Issues that are not the newest any more are named, not copied.
    assert sum("block" in one for one in inputs["rows"]) == 0
    assert sum(one["issued"] is not None for one in inputs["rows"]) >= 5


def test_before_anything_was_kept_nothing_is_known(later, capsys):
    code, again = told(later, capsys, "2026-10-06T03:00")
    assert code == 69
    unsprayed = [one for one in again["fields"] if one["follow_up"] is None]
    assert {one["call"] for one in unsprayed} == {"unknown"}
    assert "no forecast of its cell had been kept by then" in json.dumps(again)


def test_the_present_still_asks(later, capsys, monkeypatch):
    asked = []
    monkeypatch.setattr(WeatherClient, "get", lambda self, path, *more: asked.append(path))
    told(later, capsys, "2026-10-20T06:00")
    assert asked


def test_a_morning_lets_old_issues_go_and_keeps_the_newest(demo, capsys):
    with open_farm(demo / "farm.toml") as farm:
        archive, now = farm.stores.forecasts, farm.now
        cells = {
            cell.id
            for one in farm.config.fields
            if (cell := archive.grid_cell(one.latitude, one.longitude))
        }
        some = archive.latest(sorted(cells)[0])
        days = {name: now - timedelta(days=age) for name, age in (("old", 401), ("young", 399))}
        for name, issued in days.items():
            archive.keep(replace(some, cell_id="nws:QQX/9,9", source=name, issued_utc=issued))
        lone = replace(some, cell_id="nws:QQX/8,8", issued_utc=now - timedelta(days=900))
        archive.keep(lone)
    assert warmspell(["morning", "--config", str(demo / "farm.toml")]) == 3
    with open_farm(demo / "farm.toml") as farm:
        assert [one.source for one in farm.stores.forecasts.history("nws:QQX/9,9")] == ["young"]
        assert farm.stores.forecasts.latest("nws:QQX/8,8") is not None


def test_a_morning_of_the_past_lets_nothing_go(demo):
    config = str(demo / "farm.toml")
    with open_farm(demo / "farm.toml") as farm:
        one = farm.config.fields[0]
        cell = farm.stores.forecasts.grid_cell(one.latitude, one.longitude)
        last = farm.stores.forecasts.latest(cell.id)
        old = replace(last, cell_id="nws:QQX/9,9", issued_utc=farm.now - timedelta(days=900))
        farm.stores.forecasts.keep(old)
        farm.stores.forecasts.keep(replace(old, issued_utc=farm.now))
    warmspell(["morning", "--config", config, "--at", "2026-10-05T06:00"])
    with open_farm(demo / "farm.toml") as farm:
        assert len(list(farm.stores.forecasts.history("nws:QQX/9,9"))) == 2
