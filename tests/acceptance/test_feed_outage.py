"""A feed that is down for days, and a morning that ends in time whatever the feed does."""

import time

import pytest

from scheduler.commands import run as warmspell
from tests.acceptance.feed_farm import GIN, NORTH, SOUTH, cell_file, cell_path, issued
from tests.acceptance.test_feed_faults import drip, stall
from tests.acceptance.weather_service import GEO, head, problem, saying


def digest(feed, at: str) -> str:
    """What the operator reads that morning."""
    feed.capsys.readouterr()
    warmspell(["morning", "--dry-run", "--at", at, "--config", str(feed.folder / "farm.toml")])
    return str(feed.capsys.readouterr().out)


@pytest.fixture
def down(feed):
    """The feed answers one morning, in which a freeze is told for 14 October, then nothing."""
    assert feed.morning(dry=False).code == 0
    feed.service.faults["/"] = problem("Unavailable Web Service", 503)
    return feed


@pytest.mark.parametrize(
    ("at", "code", "call"),
    [
        ("2026-10-06T12:00", 0, "spray"),  # 9 h old
        ("2026-10-07T06:10", 3, "unknown"),  # 27 h old
        ("2026-10-08T06:10", 3, "unknown"),  # 51 h old
        ("2026-10-09T02:30", 3, "unknown"),  # 72 h old, the last hour of its numbers
        ("2026-10-09T06:10", 69, "unknown"),  # 75 h old: no numbers any more
        ("2026-10-12T06:10", 69, "unknown"),
    ],
)
def test_f38_a_feed_down_for_days_is_ridden_by_age_and_said_every_day(down, at, code, call):
    told = down.morning(at=at)

    assert told.code == code
    assert set(told.calls.values()) == {call}
    assert sum(told.report["run"]["counts"].values()) == 3
    assert "no new forecast since Tue 6 Oct 2:40 am" in told.of(GIN)["forecast"]["problem"]


@pytest.mark.parametrize(
    ("at", "kept"),
    [("2026-10-07T06:10", True), ("2026-10-09T02:30", True), ("2026-10-09T06:10", False)],
)
def test_f38_the_last_known_freeze_is_kept_as_long_as_numbers_are_shown(down, at, kept):
    text = digest(down, at)

    assert text.startswith("Subject: ")
    assert "3 not known" in text
    assert ("First freeze seen Wed" in text) is kept
    assert "no freeze" not in text.lower()


def test_a_morning_of_a_dead_feed_ends_by_its_time_limit(feed):
    feed.reset_settings(total_deadline_s=1.0, tries=4)
    feed.service.faults["/"] = stall
    began = time.monotonic()
    told = feed.morning()

    assert time.monotonic() - began < 3.0
    assert told.code == 69
    assert "time" in told.of(SOUTH)["forecast"]["problem"]


def test_the_time_limit_leaves_what_was_answered_before_it(feed):
    feed.reset_settings(tries=1, requests_per_second=5.0, total_deadline_s=2.0)
    feed.reset_settings(answer_deadline_s=3.0, read_timeout_s=3.0)
    feed.service.faults[cell_path(SOUTH)] = drip
    told = feed.morning()

    assert told.code == 3
    assert list(told.calls.values()).count("spray") == 2


def test_an_unchanged_answer_is_not_sent_again(feed):
    changed = "Tue, 06 Oct 2026 07:40:00 GMT"

    def conditional(connection, body) -> None:
        if f"If-Modified-Since: {changed}" in feed.service.heads[-1]:
            connection.sendall(b"HTTP/1.1 304 Not Modified\r\nConnection: close\r\n\r\n")
        else:
            connection.sendall(head(200, GEO, Last_Modified=changed) + body)

    feed.service.faults["/gridpoints"] = conditional
    first = feed.morning(dry=False)
    feed.service.heads.clear()
    second = feed.morning(at="2026-10-06T07:00")

    assert (first.code, second.code) == (0, 0)
    assert first.calls == second.calls
    assert all(f"If-Modified-Since: {changed}" in told for told in of_cells(feed.service.heads))
    assert second.of(NORTH)["forecast"]["problem"] == ""


def of_cells(heads):
    """The questions for the forecast of a cell; alerts are asked for anew."""
    told = [one for one in heads if one.startswith("GET /gridpoints")]
    assert len(told) == 3
    return told


def test_an_answer_known_by_its_tag_is_asked_for_by_it(feed):
    feed.service.faults["/gridpoints"] = lambda connection, body: connection.sendall(
        head(200, GEO, ETag='"a-1"') + body
    )
    feed.morning(dry=False)
    feed.service.faults["/gridpoints"] = saying(304)
    feed.service.heads.clear()
    told = feed.morning(at="2026-10-06T07:00")

    assert told.code == 0
    assert all('If-None-Match: "a-1"' in one for one in of_cells(feed.service.heads))


def test_a_feed_that_comes_back_is_used_at_once(down):
    assert down.morning(at="2026-10-07T06:10").code == 3
    down.service.faults.clear()
    for field in (GIN, NORTH, SOUTH):
        down.service.change(cell_file(field), issued("2026-10-07T08:00:00+00:00"))
    told = down.morning(at="2026-10-07T06:20")

    assert told.of(GIN)["forecast"]["problem"] == ""
    assert told.of(GIN)["forecast"]["age_h"] == pytest.approx(3.3, abs=0.05)
