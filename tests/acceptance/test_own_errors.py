"""Promise: a farm's own errors of lows count only where they are kept, whole, and said."""

import json
import sqlite3
from datetime import date, timedelta
from uuid import uuid4

import pytest

from agronomy.own_low_errors import OwnLead, OwnLowErrors
from dispatch.report import Call
from scheduler.commands import run as warmspell
from scheduler.morning import decide_morning
from scheduler.opening import open_farm
from scheduler.replay import replay_at

NWS = "US National Weather Service"


def table(now, sd_f=8.0, bias_f=4.0, source=NWS, last_on=date(2025, 12, 8)) -> OwnLowErrors:
    leads = tuple(
        OwnLead(lead_days=lead, nights=180, pairs=180, bias_f=bias_f, sd_f=sd_f)
        for lead in range(1, 8)
    )
    return OwnLowErrors(
        uuid=uuid4(),
        source=source,
        kept_utc=now - timedelta(days=1),
        first_on=date(2025, 9, 20),
        last_on=last_on,
        observed="thermometer.csv",
        leads=leads,
    )


def a_morning(farm):
    return decide_morning(farm.config, farm.stores, farm.now)


def digest_of(run) -> str:
    return next(one.text for one in run.digests if "Freeze odds" in one.text or one.text)


def calls_of(run):
    return [one.model_dump(mode="json") for one in run.report.fields]


def harm(demo, statement):
    with sqlite3.connect(demo / "warmspell.sqlite3") as database:
        database.execute(statement)
    database.close()


def test_kept_errors_move_the_odds_and_are_shown_everywhere(demo, capsys):
    with open_farm(demo / "farm.toml") as farm:
        before = a_morning(farm)
        farm.stores.own_errors.add(table(farm.now))
        run = a_morning(farm)
        farm.stores.plans.keep(run.report, run.inputs)
    assert before.report.run.own_low_errors is None
    assert "own errors" not in digest_of(before)

    def odds(of_run):
        told = {one.field.id: one.freeze.chance_7d_pct for one in of_run.report.fields}
        return {field: chance for field, chance in told.items() if chance is not None}

    assert all(chance >= odds(before)[field] for field, chance in odds(run).items())
    assert odds(run) != odds(before)
    # By hand: 180 nights weigh 180 / 240; 5.07 and 8 make sqrt(.25 x 25.7 + .75 x 64) = 7.38,
    # which is held at 1.4 x 5.07 = 7.10.
    line = "own errors of lows: 180 nights weigh 75 in 100, sd 5.1 to 7.1 F 1 day ahead"
    assert line in " ".join(digest_of(run).split())

    config = str(demo / "farm.toml")
    capsys.readouterr()
    assert warmspell(["explain", "Windmill Quarter", "--config", config]) == 0
    told = capsys.readouterr().out
    assert "Odds count with this farm's own errors, US National Weather Service" in told
    assert "180 nights, weight 0.75, sd 5.1 to 7.1 F" in told
    assert warmspell(["check", "--config", config]) == 0
    assert f"Own errors of lows: {NWS}, 180 nights 1 day ahead" in capsys.readouterr().out


def test_a_morning_with_kept_errors_is_replayed_to_the_last_digit_after_they_are_gone(demo):
    with open_farm(demo / "farm.toml") as farm:
        farm.stores.own_errors.add(table(farm.now))
        run = a_morning(farm)
        farm.stores.plans.keep(run.report, run.inputs)
    harm(demo, "delete from own_low_errors")
    with open_farm(demo / "farm.toml") as farm:
        told = replay_at(farm, farm.now)
        anew = a_morning(farm)
    again, kept = (one.model_dump(mode="json") for one in (told.again, told.kept))
    assert json.dumps(again, sort_keys=True) == json.dumps(kept, sort_keys=True)
    assert told.kept.run.own_low_errors.used
    assert calls_of(anew) != calls_of(run)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("update own_low_errors set record = 'x'", "they cannot be read"),
        ("drop table own_low_errors", "they cannot be read"),
        ("delete from own_low_errors", "not in the database any more"),
    ],
)
def test_damaged_or_lost_errors_give_the_calls_of_the_default_and_say_so(demo, statement, said):
    with open_farm(demo / "farm.toml") as farm:
        usual = a_morning(farm)
        farm.stores.own_errors.add(table(farm.now))
        used = a_morning(farm)
        farm.stores.plans.keep(used.report, used.inputs)
    harm(demo, statement)
    with open_farm(demo / "farm.toml") as farm:
        run = a_morning(farm)
        farm.stores.plans.keep(run.report, run.inputs)
        next_day = a_morning(farm)
    assert calls_of(run) == calls_of(usual) != calls_of(used)
    for one in (run, next_day):
        assert said in one.report.run.own_low_errors.why_not
        assert "with the usual errors of lows, not this farm's own" in " ".join(
            digest_of(one).split()
        )


@pytest.mark.parametrize(("sd_f", "bias_f"), [(0.0, -30.0), (0.0, 30.0), (30.0, 0.0)])
def test_no_table_reaches_a_gate(demo, sd_f, bias_f):
    """Whatever was recorded, only mature fields with an open window move, and only between
    sprayed today and a better day."""
    with open_farm(demo / "farm.toml") as farm:
        usual = {one.field.id: one for one in a_morning(farm).report.fields}
        farm.stores.own_errors.add(table(farm.now, sd_f, bias_f))
        report = a_morning(farm).report
    assert report.run.own_low_errors.used
    for one in report.fields:
        before = usual[one.field.id]
        if one.call is not before.call:
            assert {one.call, before.call} <= {Call.SPRAY, Call.SHORT, Call.WAIT, Call.LOOK}
        if one.call in (Call.SPRAY, Call.SHORT):
            assert before.maturity.state == "mature"
            assert before.windows
    assert [one.field.id for one in report.with_call(Call.UNKNOWN)] == [
        one.field.id for one in usual.values() if one.call is Call.UNKNOWN
    ]


def test_errors_of_another_source_or_an_old_season_are_not_used(demo):
    with open_farm(demo / "farm.toml") as farm:
        usual = a_morning(farm)
        farm.stores.own_errors.add(table(farm.now, source="MET Norway"))
        run = a_morning(farm)
        assert calls_of(run) == calls_of(usual)
        assert "they are of MET Norway" in run.report.run.own_low_errors.why_not
        farm.stores.own_errors.add(table(farm.now, last_on=date(2024, 12, 8)))
        assert "more than a season away" in a_morning(farm).report.run.own_low_errors.why_not
