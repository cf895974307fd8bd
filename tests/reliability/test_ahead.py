"""Forecasts fetched before the morning: what that spares, and that a morning never needs it."""

import logging
from contextlib import ExitStack
from datetime import UTC, datetime

import pytest

from scheduler import asking
from scheduler.commands import run
from storage.stores import open_stores
from tests.acceptance.weather_service import good, problem
from tests.reliability.desk import body_of, desk_of
from tests.reliability.fed import feed
from tests.reliability.mill import TUESDAY, killed
from tests.reliability.test_fail_points import points_of, settled

BEFORE, AT, LATER = "2026-10-06T05:50", "2026-10-06T06:00:05", "2026-10-06T06:06"
DEAD = problem("Unavailable Web Service", 503)


@pytest.fixture
def fed(mill):
    with ExitStack() as stack:
        yield feed(mill(), stack)


def kept(fed):
    with open_stores("warmspell.sqlite3", fed.mill.folder) as stores:
        return stores.plans.on(TUESDAY), stores.runs.newest("ahead")


def test_a_feed_that_is_dead_at_six_costs_nothing_if_it_lived_before(fed):
    with desk_of(fed.mill) as desk:
        desk.at(BEFORE)
        assert desk.mails == []
        fed.lead.faults["/gridpoints"] = DEAD
        desk.at(LATER)

    assert fed.mill.broken() == []
    assert all("spray 3" in mail["Subject"] for mail in desk.of_kind("morning"))


def test_without_fetching_ahead_a_dead_feed_leaves_every_field_unknown(fed):
    """The twin: what the test above would see if nothing had been fetched."""
    with desk_of(fed.mill) as desk:
        fed.lead.faults["/gridpoints"] = DEAD
        desk.at(LATER)

    assert all("3 not known" in mail["Subject"] for mail in desk.of_kind("morning"))


def test_the_morning_asks_for_no_cell_that_was_asked_for_minutes_before(fed):
    with desk_of(fed.mill) as desk:
        desk.at(BEFORE, ticks=3)
        assert fed.grid_asked() == 3
        desk.at(AT)

    assert fed.grid_asked() == 3
    assert fed.mill.broken() == []


def test_a_cell_asked_for_longer_ago_is_asked_for_again(fed):
    with desk_of(fed.mill) as desk:
        desk.at(BEFORE)
        desk.at(LATER)

    assert fed.grid_asked() == 6


def test_ages_count_from_the_issue_whenever_it_was_fetched(fed):
    with desk_of(fed.mill) as desk:
        desk.at(BEFORE)
        desk.at(AT)
    report, ahead = kept(fed)

    assert (ahead.exit_code, ahead.started_utc) == (0, datetime(2026, 10, 6, 10, 50, tzinfo=UTC))
    # The demo's forecasts are issued at 2:40 am on the farm's clock.
    issued = datetime(2026, 10, 6, 7, 40, tzinfo=UTC)
    for one in report.fields:
        assert one.forecast.issued_utc == issued
        assert one.forecast.age_h == pytest.approx(3 + 20 / 60, abs=0.01)
    assert run(["morning", "--config", fed.mill.config, "--at", AT, "--replay"]) == 0


def test_what_could_not_be_fetched_is_tried_again_and_left_to_the_morning(fed, caplog):
    fed.lead.faults["/gridpoints"] = [DEAD, DEAD, good]
    config = fed.mill.folder / "farm.toml"
    config.write_text(config.read_text().replace("tries = 1", "tries = 1\nask_again_s = 300.0"))
    with caplog.at_level(logging.INFO, "warmspell.ahead"), desk_of(fed.mill) as desk:
        desk.at("2026-10-06T05:46")
        desk.at("2026-10-06T05:50")
        assert fed.grid_asked() == 3
        desk.at("2026-10-06T05:52")
        desk.at("2026-10-06T05:58")

    assert "fetching ahead for the morning of 2026-10-06: 3 fields" in caplog.text
    assert "2 without a new one (no answer from the weather service (503" in caplog.text
    assert "3 of 3 fields" in caplog.text
    # One was there at 5:46, two were missing, and once all were there nothing more was asked.
    assert fed.grid_asked() == 5


@pytest.mark.fault("S11")
def test_asleep_in_the_middle_of_fetching_sends_at_once_on_waking(fed):
    with desk_of(fed.mill) as desk:

        def asleep(connection, body):
            desk.now = datetime(2026, 10, 6, 13, tzinfo=UTC)
            good(connection, body)

        fed.lead.faults["/gridpoints"] = asleep
        desk.at(BEFORE)
        asked = fed.grid_asked()
        assert desk.mails == []
        desk.worker.tick()

    assert asked < 3
    assert fed.mill.broken() == []
    assert all("Late: made today 8 am" in body_of(mail) for mail in desk.of_kind("morning"))


def test_fetching_that_ends_in_an_error_leaves_the_morning_as_it_was(fed, monkeypatch, caplog):
    def broken(*_told, **_more):
        raise ZeroDivisionError("a fault of ours")

    monkeypatch.setattr(asking, "ask", broken)
    with desk_of(fed.mill) as desk:
        desk.at(BEFORE, ticks=2)
        desk.at(AT)

    assert caplog.text.count("fetching ahead ended in an error") == 1
    assert fed.mill.broken() == []


@pytest.mark.fault("S01", "S04")
@pytest.mark.parametrize("mode", ["kill", "raise"])
def test_fetching_ahead_survives_a_fault_at_every_effect(mill, mode, long, figure):
    """Killed or failed before six, at every effect of fetching; the morning is whole after it."""
    before = datetime(2026, 10, 6, 10, 50, tzinfo=UTC)
    names = points_of(mill, at=before, whole=False)
    wanted = range(1, len(names) + 1)
    tried = wanted if long else wanted[:: max(1, len(names) // 4)]
    lost = {}
    for point in tried:
        one = mill()
        status = one.run(at=before, point=point, mode=mode)
        assert killed(status) if mode == "kill" else status == 0, (names[point - 1], one.log())
        settled(one)
        if one.broken():
            lost[f"{point} {names[point - 1]}"] = (one.broken(), one.log()[-2000:])
    figure(f"points survived before the morning, {mode}: {len(tried) - len(lost)}/{len(tried)}")
    assert lost == {}
