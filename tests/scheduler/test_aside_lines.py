"""What `explain` tells of alerts, of the further look, and of the members of an ensemble."""

from datetime import UTC, datetime

import pytest

from dispatch.alert_figures import FreezeAlertFigures
from dispatch.further_figures import FurtherFigures
from dispatch.report import MorningReport
from scheduler.explanation import Evidence, explain
from scheduler.show_sections import show_sections

OPEN_METEO = "Open-Meteo.com (CC BY 4.0)"


def at(day: int, hour: int) -> datetime:
    """A moment of October 2026 by the clock in Chicago."""
    return datetime(2026, 10, day, hour + 5, tzinfo=UTC)


WATCH = FreezeAlertFigures(
    event="Freeze Watch",
    onset_utc=at(7, 2),
    ends_utc=at(7, 9),
    sender="NWS Sandhill",
    headline="Freeze Watch issued October 6",
)
FURTHER = FurtherFigures(
    source=OPEN_METEO,
    issued_utc=at(6, 2),
    age_mark="fresh",
    from_utc=at(13, 18),
    through_utc=at(22, 6),
    low_f=29.4,
    low_utc=at(18, 6),
    first_utc=at(17, 5),
    rain_in=0.4,
)
MEMBERS = {
    "ensemble_chance_7d_pct": 41.4,
    "ensemble_members": 31,
    "ensemble_source": OPEN_METEO,
    "ensemble_issued_utc": at(6, 1),
}


@pytest.fixture
def text(report, capsys):
    """What is said of a field of the report with some figures of it changed."""

    def told(place: int = 1, freeze=None, dry=None, **changes) -> str:
        call = report.fields[place]
        changes["freeze"] = call.freeze.model_copy(update=freeze or {})
        if dry is not None:
            factors = call.factors_now.model_copy(update={"ensemble_dry_pct": dry})
            changes["factors_now"] = factors
        call = call.model_copy(update=changes)
        show_sections(explain(Evidence(MorningReport(run=report.run, fields=(call,)), call)))
        return " ".join(capsys.readouterr().out.split())

    return told


def test_an_alert_is_told_as_it_stands(text):
    said = text(alerts=(WATCH,))
    assert "Beside the call, and no part of it" in said
    assert (
        "freeze alert: Freeze Watch by NWS Sandhill: Wed 2 am to 9 am "
        "(Freeze Watch issued October 6)" in said
    )


def test_an_alert_is_told_for_a_sprayed_field_too(text):
    assert "Freeze Watch by NWS Sandhill" in text(place=2, alerts=(WATCH,))


def test_alerts_that_are_not_known_say_why(text):
    assert "freeze alerts: not known: no answer (503)" in text(alerts_problem="no answer (503)")


def test_without_any_of_it_nothing_is_said(text):
    said = text()
    assert "Beside the call" not in said
    assert "alert" not in said
    assert "member" not in said
    assert "8 in 100; by the forecast alone" in said


def test_the_further_look_tells_its_source_its_age_and_where_it_begins(text):
    said = text(further=FURTHER)
    assert (
        "further ahead: first freeze seen Sat 17 Oct 5 am, coldest 29F Sun 18 Oct, through Thu "
        "22 Oct 6 am, 0.4 in of rain" in said
    )
    assert f"seen by: {OPEN_METEO}, issued today 2 am" in said
    assert "from: Tue 13 Oct 6 pm, where the forecast ends" in said


def test_a_further_look_that_failed_says_why(text):
    lost = FurtherFigures(source=OPEN_METEO, problem="no answer")
    assert f"further ahead: not known, {OPEN_METEO}: no answer" in text(further=lost)


def test_the_odds_by_members_stand_beside_those_that_count(text):
    said = text(freeze=MEMBERS | {"chance_7d_pct": 36.0, "killing_chance_7d_pct": 16.0})
    assert (
        "freeze in 7 days: 36 in 100 by forecast errors (killing 16 in 100), 41 in 100 by "
        "31 members; by the forecast alone" in said
    )
    assert f"ensemble: 31 members of {OPEN_METEO}, issued today 1 am" in said


def test_the_odds_by_members_stand_alone_where_the_others_are_not_known(text):
    said = text(freeze=MEMBERS | {"chance_7d_pct": None})
    assert "odds not known by forecast errors, 41 in 100 by 31 members" in said


def test_members_that_are_not_known_say_why(text):
    lost = {"ensemble_source": OPEN_METEO, "ensemble_problem": "no answer"}
    said = text(freeze=lost)
    assert f"ensemble: not known, {OPEN_METEO}: no answer" in said
    assert "8 in 100; by the forecast alone" in said


def test_dry_hours_by_members_stand_beside_the_chance_of_rain(text):
    assert "dry by members, shown beside 92 % not known" in text(dry=92.3)
    assert "dry by members" not in text()
