"""Promise: every call can be made again from what was kept, whatever came in since."""

import json
import sqlite3
from base64 import b64decode
from dataclasses import fields, replace
from datetime import datetime, timedelta
from uuid import uuid4

import numpy as np
import pytest

from agronomy.hourly_forecast import HourlyForecast
from dispatch.farm_morning import FarmMorning
from farm.records import Freeze, Harvest, Spray, Visit
from scheduler.commands import run as warmspell
from scheduler.kept_rows import forecast_of_rows, kept_rows
from scheduler.morning import decide_morning
from scheduler.morning_inputs import MorningInputs
from scheduler.opening import open_farm
from scheduler.replay import replay_at
from storage.forecast_block import unpacked

MORNING = "2026-10-06T06:10"


@pytest.fixture
def replay(demo, capsys):
    """Replay the demo's morning: (exit code, stdout, stderr)."""

    def run(*more):
        capsys.readouterr()
        config = str(demo / "farm.toml")
        code = warmspell(["morning", "--at", MORNING, "--replay", "--config", config, *more])
        told = capsys.readouterr()
        assert "Traceback" not in told.err
        return code, told.out, told.err

    return run


@pytest.fixture
def kept(demo):
    """The JSON of the morning the demo kept, as it was handed out."""
    return (demo / "digests" / "morning.json").read_text("utf-8")


def later_in_the_season(demo):
    """Everything goes on: visits, one of them of before the morning, sprays, picks, freezes,
    a newer forecast of every cell, and other settings."""
    with open_farm(demo / "farm.toml") as farm:
        stores, now = farm.stores, farm.now
        late_entry = [
            Visit(
                uuid=uuid4(),
                field_id=one.id,
                observed_utc=now - timedelta(hours=2),
                plants_counted=20,
                nodes_above_cracked_boll=1.0,
                percent_open=95.0,
            )
            for one in farm.config.fields
        ]
        stores.visits.add(late_entry, now + timedelta(days=1))
        for number, one in enumerate(farm.config.fields):
            treatment = one.treatment_id
            sprayed = now - timedelta(hours=1 + number)
            spray = Spray(
                uuid=uuid4(), field_id=one.id, sprayed_utc=sprayed, treatment_id=treatment
            )
            stores.sprays.add(spray, now + timedelta(days=1))
            harvest = Harvest(uuid=uuid4(), field_id=one.id, harvested_utc=sprayed, acres=1.0)
            stores.harvests.add(harvest, now + timedelta(days=1))
            freeze = Freeze(uuid=uuid4(), field_id=one.id, froze_utc=sprayed, low_f=20.0)
            stores.freezes.add(freeze, now + timedelta(days=1))
            cell = stores.forecasts.grid_cell(one.latitude, one.longitude)
            last = cell and stores.forecasts.latest(cell.id)
            if last is not None:
                hourly = last.hourly | {"temp_f": np.full_like(last.hourly["temp_f"], 20.0)}
                newer = last.issued_utc + timedelta(hours=20)
                stores.forecasts.keep(replace(last, issued_utc=newer, hourly=hourly))
    config = demo / "farm.toml"
    text = config.read_text("utf-8")
    text += "\n[dispatch]\nspray_worth_frac = 0.6\n[gates]\nwind_max_mph = 6.0\n"
    config.write_text(text, "utf-8")


def test_a_morning_comes_out_again_byte_for_byte_whatever_came_in_since(demo, replay, kept):
    later_in_the_season(demo)
    code, out, err = replay("--json")
    assert out == kept
    assert code == 0
    assert err.startswith("same: The morning of Tue 6 Oct, made 6:10 am, comes out again")

    code, out, _ = replay()
    assert (code, out.count("\n")) == (0, 1)
    assert out.startswith("same: ")


def test_what_came_in_since_would_have_changed_the_calls(demo, kept, capsys):
    """The twin: decided anew, that morning comes out another."""
    later_in_the_season(demo)
    capsys.readouterr()
    warmspell(["morning", "--dry-run", "--json", "--config", str(demo / "farm.toml")])
    anew = json.loads(capsys.readouterr().out)
    assert anew["fields"] != json.loads(kept)["fields"]
    assert anew["run"]["counts"] != json.loads(kept)["run"]["counts"]


def test_a_replay_keeps_nothing_and_sends_nothing(demo, replay):
    def rows():
        with sqlite3.connect(demo / "warmspell.sqlite3") as database:
            names = ("plans", "forecasts", "deliveries", "runs", "visits", "grid_cells")
            found = [database.execute(f"select * from {name}").fetchall() for name in names]
        database.close()
        return found

    before = rows()
    replay()
    assert rows() == before


def test_a_morning_made_seconds_past_the_time_asked_for_is_found(demo):
    with open_farm(demo / "farm.toml") as farm:
        for moment in (farm.now - timedelta(minutes=10), farm.now, farm.now + timedelta(hours=9)):
            assert replay_at(farm, moment).differences == ()


def test_a_date_without_a_morning_says_so(demo, capsys):
    config = str(demo / "farm.toml")
    code = warmspell(["morning", "--replay", "--at", "2026-10-05T06:00", "--config", config])
    told = capsys.readouterr()
    assert (code, told.out) == (75, "")
    assert told.err.startswith("replay: no morning of 2026-10-05 was kept; ")


def test_a_call_that_no_longer_comes_out_is_told_figure_by_figure(demo, replay):
    with open_farm(demo / "farm.toml") as farm:
        report = farm.stores.plans.latest()
        inputs = farm.stores.plans.inputs_of(report)
        first = report.with_call(*{one.call for one in report.fields if one.rank == 1})[0]
        other = first.model_copy(update={"effect_pct": 1.25, "reasons": ("Because.",)})
        altered = tuple(other if one is first else one for one in report.fields)
        farm.stores.plans.keep(report.model_copy(update={"fields": altered}), inputs)
    code, out, _ = replay()
    lines = out.splitlines()
    assert code == 70
    assert lines[0].endswith("made 6:10 am.")
    assert f"  {first.field.name}: effect_pct: kept 1.25, now {first.effect_pct}" in lines
    assert any(one.startswith(f"  {first.field.name}: reasons: kept ['Because.']") for one in lines)


def test_an_issue_that_is_no_longer_kept_is_named(demo, replay):
    with sqlite3.connect(demo / "warmspell.sqlite3") as database:
        database.execute("delete from forecasts")
    database.close()
    code, out, err = replay()
    assert (code, out) == (65, "")
    assert "replay of 2026-10-06: cannot be replayed, because the forecast of cell nws:" in err
    assert "[forecast] keep_days" in err


def test_a_plan_of_the_first_version_says_what_it_lacks(demo, replay):
    with open_farm(demo / "farm.toml") as farm:
        report = farm.stores.plans.latest()
        farm.stores.plans.keep(report, {"warmspell": "0.0.9", "visits": []})
    code, _, err = replay()
    assert code == 65
    assert "kept by warmspell 0.0.9, which did not keep all that a replay needs" in err


def test_explain_shows_the_visits_and_limits_of_that_morning(demo, capsys):
    def explained(field):
        capsys.readouterr()
        arguments = ["explain", field, "--on", "2026-10-06", "--config", str(demo / "farm.toml")]
        assert warmspell(arguments) == 0
        text = capsys.readouterr().out
        assert warmspell([*arguments, "--json"]) == 0
        return text, capsys.readouterr().out

    before = [explained(one) for one in ("Windmill Quarter", "Dugout")]
    later_in_the_season(demo)
    assert [explained(one) for one in ("Windmill Quarter", "Dugout")] == before


def test_every_part_of_a_farms_morning_is_kept(demo):
    """A part that is added to `FarmMorning` must be added to the inputs too.

    ``unread`` is made anew from the kept fields whose records are spoilt.
    """
    kept_parts = {
        *("name", "time_zone", "registered", "rules", "rigs", "growers", "treatments"),
        *("sprays", "policy", "harvest", "harvests", "freezes", "inspections"),
    }
    assert {one.name for one in fields(FarmMorning)} == kept_parts | {"unread"}
    assert "spoilt" in {one.name for one in fields(MorningInputs)}


def test_a_row_the_archive_cannot_give_back_is_kept_whole(demo):
    """An answer without an issue time is never archived, yet it was seen that morning."""
    with open_farm(demo / "farm.toml") as farm:
        rows = farm.stores.plans.inputs_of(farm.stores.plans.latest())["rows"]
        archive = farm.stores.forecasts
        start = datetime.fromisoformat("2026-10-06T11:00:00+00:00")
        seen = forecast_of_rows(rows, start, archive)
        assert not any("block" in one for one in rows)

        undated = replace(seen, issued_utc=(None, *seen.issued_utc[1:]))
        warmer = replace(undated, temp_f=np.where(np.isnan(seen.temp_f), np.nan, seen.temp_f + 1))
        warmer = replace(warmer, temp_f=warmer.temp_f.astype(np.float32))
        kept = kept_rows(warmer, farm.now, archive)
        assert json.loads(json.dumps(kept)) == kept
        for at_once in (1, 7):
            assert kept_rows(warmer, farm.now, archive, at_once) == kept
        again = forecast_of_rows(kept, start, archive)
    known = ~np.isnan(seen.temp_f).all(axis=1)
    assert [("block" in one) for one in kept] == (known | (np.arange(len(kept)) == 0)).tolist()
    assert unpacked(b64decode(kept[0]["block"])).issued_utc is None
    for each in fields(HourlyForecast):
        np.testing.assert_array_equal(getattr(again, each.name), getattr(warmer, each.name))


def test_a_dry_run_can_be_replayed_too(demo, capsys, replay):
    with sqlite3.connect(demo / "warmspell.sqlite3") as database:
        database.execute("delete from plans")
    database.close()
    config = str(demo / "farm.toml")
    warmspell(["morning", "--dry-run", "--json", "--config", config])
    tried = capsys.readouterr().out
    assert replay("--json")[:2] == (0, tried)


def test_the_report_decided_again_is_the_same_in_every_figure(demo):
    """Not only what the JSON shows: strips, odds and words too."""
    later_in_the_season(demo)
    with open_farm(demo / "farm.toml") as farm:
        told = replay_at(farm, farm.now)
    again, kept = (one.model_dump(mode="json") for one in (told.again, told.kept))
    assert json.dumps(again, sort_keys=True) == json.dumps(kept, sort_keys=True)


def test_a_late_morning_is_replayed_as_a_late_one(demo):
    with open_farm(demo / "farm.toml") as farm:
        late = farm.now + timedelta(hours=1)
        run = decide_morning(farm.config, farm.stores, late, late=True)
        farm.stores.plans.keep(run.report, run.inputs)
        told = replay_at(farm, late)
    assert told.kept.run.late
    assert told.differences == ()
