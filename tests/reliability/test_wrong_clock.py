"""S13: this machine's clock held against those of the services that answer anyway."""

from contextlib import ExitStack
from datetime import datetime, timedelta

import pytest

from scheduler.commands import run
from tests.reliability.desk import body_of, desk_of
from tests.reliability.fed import dated, feed, only_dated

#: The time it really is, on the farm's clock and in UTC.
AT, REALLY = "2026-10-06T06:10", datetime.fromisoformat("2026-10-06T11:10:00+00:00")


@pytest.fixture
def fed(mill):
    with ExitStack() as stack:
        yield feed(mill(), stack)


def mails_at(fed, at, lead_off_h=0.0, other_off_h=None):
    """What arrives at a time by our clock, with the services' clocks off by so many hours."""
    fed.lead.faults["/"] = dated(lambda: REALLY + timedelta(hours=lead_off_h))
    if other_off_h is not None:
        fed.other.faults["/"] = only_dated(lambda: REALLY + timedelta(hours=other_off_h))
    with desk_of(fed.mill) as desk:
        desk.at(at)
    return desk


@pytest.mark.fault("S13")
@pytest.mark.parametrize(
    ("at", "how"),
    [
        pytest.param("2026-10-05T06:10", "24 hours behind", id="a day behind"),
        pytest.param("2026-10-07T06:10", "24 hours ahead of", id="a day ahead"),
        # Ages would still be believed: only two hosts that agree can tell.
        pytest.param("2026-10-06T09:10", "3 hours ahead of", id="three hours ahead"),
    ],
)
def test_a_clock_two_hosts_call_wrong_stops_every_call_and_is_told(fed, at, how, capsys):
    desk = mails_at(fed, at, other_off_h=0)

    mornings = desk.of_kind("morning")
    assert len(mornings) == 3
    for mail in mornings:
        assert "no calls, 3 not known" in mail["Subject"]
        said = body_of(mail)
        assert said.count(f"STOP: the clock of the computer that makes this is {how}") == 1
        assert "SPRAY NEXT" not in said
    assert all("clock is wrong" in text.lower() for text in desk.texts_of("morning"))
    (alarm,) = desk.of_kind("alarm-clock")
    assert "no field is called; set the clock" in body_of(alarm)
    capsys.readouterr()
    assert run(["doctor", "--config", fed.mill.config, "--offline"]) == 78
    assert (
        f"{how.removesuffix(' of')}, by the time weather services told" in capsys.readouterr().out
    )


@pytest.mark.fault("S13")
def test_the_right_clock_calls_as_always(fed):
    desk = mails_at(fed, AT, other_off_h=0)

    assert len(desk.of_kind("morning")) == 3
    assert all("spray 3" in mail["Subject"] for mail in desk.of_kind("morning"))
    assert desk.of_kind("alarm-clock") == []


@pytest.mark.fault("S13")
@pytest.mark.parametrize(("lie_h", "other"), [(-30, None), (30, None), (3, None), (-3, 0), (30, 0)])
def test_one_server_that_lies_stops_nothing(fed, lie_h, other):
    desk = mails_at(fed, AT, lead_off_h=lie_h, other_off_h=other)

    assert all("spray 3" in mail["Subject"] for mail in desk.of_kind("morning"))
    assert len(desk.of_kind("morning")) == 3
    # Nobody else was heard: the operator is told, and decides.
    assert len(desk.of_kind("alarm-clock")) == (1 if other is None else 0)


@pytest.mark.fault("S13")
@pytest.mark.parametrize("at", ["2026-10-05T06:10", "2026-10-07T06:10"])
def test_one_host_is_enough_where_its_forecasts_confirm_it(fed, at):
    desk = mails_at(fed, at)

    assert all("STOP: the clock" in body_of(mail) for mail in desk.of_kind("morning"))
    assert len(desk.of_kind("alarm-clock")) == 1


@pytest.mark.fault("S13")
def test_a_stopped_morning_is_decided_again_the_same(fed, capsys):
    mails_at(fed, "2026-10-06T09:10", other_off_h=0)
    capsys.readouterr()
    code = run(["morning", "--config", fed.mill.config, "--at", "2026-10-06T09:10", "--replay"])
    told = capsys.readouterr().out
    assert code == 0
    assert "comes out again to the last digit, 3 fields" in told
