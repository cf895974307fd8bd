"""Whole mornings with alerts, a further look and an ensemble beside them, there or broken."""

import json

import pytest

from scheduler.commands import run as warmspell
from scheduler.opening import open_farm
from scheduler.replay import replay_at
from tests.acceptance.recorded_asides import DAY, look_at_all, spots, write_asides
from tests.forecasts.point_answers import runs

BESIDE = ("alerts", "alerts_problem", "further")
FEEDS = ("alerts_*", "open_meteo_3*", "open_meteo_ensemble_*", "open_meteo_runs_*")


@pytest.fixture
def plain(demo):
    """The demo's morning as it was made without anything beside it, and what it exited with."""
    return 3, json.loads((demo / "digests" / "morning.json").read_text("utf-8"))


def calls(told):
    """A morning's JSON without what is shown beside its calls."""
    told = json.loads(json.dumps(told))
    for one in told["fields"]:
        for name in BESIDE:
            del one[name]
        one["freeze"] = {
            name: value for name, value in one["freeze"].items() if not name.startswith("ensemble")
        }
        for factors in (one["factors_now"], one["factors_back"]):
            if factors:
                del factors["ensemble_dry_pct"]
    return told


def explained(farm, capsys, field="windmill"):
    capsys.readouterr()
    assert warmspell(["explain", field, "--config", str(farm / "farm.toml")]) == 0
    return " ".join(capsys.readouterr().out.split())


def open_fields(told):
    return [one for one in told["fields"] if one["freeze"]["ensemble_source"]]


@pytest.mark.fault("F37")
def test_all_of_it_is_shown_and_no_call_is_another(demo, plain, morning):
    write_asides(demo)
    code, told = morning(demo, "--dry-run")

    assert code == plain[0]
    assert calls(told) == calls(plain[1])
    assert all(one["alerts"][0]["event"] == "Freeze Watch" for one in told["fields"])
    assert all(one["alerts_problem"] == "" for one in told["fields"])
    ahead = [one["further"] for one in told["fields"] if one["further"]]
    assert len(ahead) == len(open_fields(told)) > 20
    for one in ahead:
        assert one["problem"] == ""
        assert one["killing_utc"] == "2026-10-18T11:00:00Z"
        assert one["issued_utc"] == "2026-10-06T07:10:00Z"
    # 12 of 31 members freeze; where a call rests on no hour after that dawn they all count.
    spray = [one["freeze"] for one in told["fields"] if one["call"] in ("spray", "short")]
    assert {(one["ensemble_chance_7d_pct"], one["ensemble_members"]) for one in spray} == {
        (38.7, 31)
    }


def test_people_are_told_of_all_of_it(demo, capsys):
    write_asides(demo)
    config = str(demo / "farm.toml")
    warmspell(["morning", "--dry-run", "--config", config])
    said = " ".join(capsys.readouterr().out.split())

    assert "Freeze Watch by NWS Sandhill: Wed 2 am to 9 am." in said
    assert (
        "Further ahead by Open-Meteo.com (CC BY 4.0), no part of any call: first freeze seen Sun "
        "18 Oct 5 am, first killing freeze seen Sun 18 Oct 6 am, coldest" in said
    )
    warmspell(["morning", "--config", config, "--out", str(demo / "out")])
    text = explained(demo, capsys)
    assert "by forecast errors" in text
    assert "39 in 100 by 31 members" in text
    assert "freeze alert: Freeze Watch by NWS Sandhill: Wed 2 am to 9 am" in text


@pytest.mark.parametrize("body", [None, b"<html>"])
@pytest.mark.parametrize("feed", FEEDS)
def test_a_feed_that_fails_costs_no_call_and_no_digest(demo, plain, morning, feed, body):
    write_asides(demo)
    for file in (demo / "answers").glob(feed):
        file.unlink() if body is None else file.write_bytes(body)
    code, told = morning(demo, "--dry-run")

    assert code == plain[0]
    assert calls(told) == calls(plain[1])
    odds = [one["freeze"] for one in open_fields(told)]
    if feed in ("open_meteo_ensemble_*", "open_meteo_runs_*"):
        assert all(one["ensemble_chance_7d_pct"] is None for one in odds)
        assert all(one["ensemble_problem"] for one in odds)
    else:
        assert all(one["ensemble_problem"] == "" for one in odds if one["ensemble_members"])
        assert any(one["ensemble_members"] for one in odds)


def test_alerts_that_cannot_be_read_are_not_known_and_never_none(demo, morning, capsys):
    write_asides(demo)
    for file in (demo / "answers").glob("alerts_*"):
        file.write_bytes(b'{"features": null}')
    _, told = morning(demo)

    assert all("could not be read" in one["alerts_problem"] for one in told["fields"])
    assert all(one["alerts"] == [] for one in told["fields"])
    assert "freeze alerts: not known" in explained(demo, capsys)


def test_a_further_look_that_fails_is_told_as_not_known(demo, capsys):
    look_at_all(demo)
    warmspell(["morning", "--dry-run", "--config", str(demo / "farm.toml")])
    said = " ".join(capsys.readouterr().out.split())
    assert "Further ahead by Open-Meteo.com (CC BY 4.0), no part of any call: not known." in said


def test_members_a_day_old_count_for_nothing(demo, morning):
    write_asides(demo)
    old = json.dumps(runs(DAY.replace(day=5)))
    (demo / "answers" / "open_meteo_runs_ncep_gefs025.json").write_text(old)
    _, told = morning(demo, "--dry-run")
    odds = [one["freeze"] for one in open_fields(told)]

    assert {one["ensemble_problem"] for one in odds} == {"its members are older than 24 h"}
    assert {one["ensemble_chance_7d_pct"] for one in odds} == {None}


def test_alerts_of_some_points_are_those_of_their_fields(demo, morning):
    write_asides(demo)
    kept, *others = spots(demo)
    for spot in others:
        (demo / "answers" / f"alerts_{spot}.json").unlink()
    _, told = morning(demo, "--dry-run")
    warned = [one for one in told["fields"] if one["alerts"]]

    assert 0 < len(warned) < len(told["fields"])
    assert all(one["alerts_problem"] for one in told["fields"] if not one["alerts"]), kept


def test_a_morning_comes_out_again_with_all_that_was_beside_it(demo, capsys):
    write_asides(demo)
    config = str(demo / "farm.toml")
    capsys.readouterr()
    warmspell(["morning", "--json", "--dry-run", "--config", config])
    warmspell(["morning", "--json", "--config", config])
    kept = capsys.readouterr().out
    for file in (demo / "answers").glob("*"):
        if file.name.startswith(("alerts_", "open_meteo_")):
            file.unlink()
    with open_farm(demo / "farm.toml") as farm:
        told = replay_at(farm, farm.now)
    assert told.differences == ()
    again, first = (one.model_dump(mode="json") for one in (told.again, told.kept))
    assert json.dumps(again, sort_keys=True) == json.dumps(first, sort_keys=True)
    assert told.again.fields[0].alerts

    code = warmspell(
        ["morning", "--replay", "--json", "--at", "2026-10-06T06:10", "--config", config]
    )
    again = capsys.readouterr().out
    assert code == 0
    assert again == kept[-len(again) :]
    assert "Freeze Watch" in again
