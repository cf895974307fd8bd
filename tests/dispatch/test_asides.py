"""Law: what is shown beside the calls never changes one."""

from datetime import timedelta

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from skies import NOW, START, cotton, morning, sky, visit, with_hours

from dispatch.alert_figures import FreezeAlertFigures
from dispatch.asides import NO_ASIDES, AlertsTold, Asides, with_asides
from dispatch.further_figures import FurtherFigures
from dispatch.member_odds import MemberOdds, odds_not_known
from dispatch.report import MorningReport
from farm.records import Spray

QUIET = settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)

FIELDS = [cotton(number, acres=60 + 20 * number) for number in range(1, 5)]
IDS = [one.id for one in FIELDS]

#: What a call is shown beside, and nothing else.
BESIDE = ("alerts", "alerts_problem", "further")
BESIDE_FREEZE = (
    "ensemble_chance_7d_pct",
    "ensemble_members",
    "ensemble_source",
    "ensemble_issued_utc",
    "ensemble_problem",
)


def without_asides(report: MorningReport) -> dict:
    told = report.model_dump(mode="json")
    for one in told["fields"]:
        for name in BESIDE:
            del one[name]
        for name in BESIDE_FREEZE:
            del one["freeze"][name]
        for factors in (one["factors_now"], one["factors_back"]):
            if factors is not None:
                del factors["ensemble_dry_pct"]
    return told


moments = st.none() | st.integers(-24, 400).map(lambda hours: START + timedelta(hours=hours))
alerts = st.builds(
    FreezeAlertFigures,
    event=st.sampled_from(["Freeze Watch", "Freeze Warning"]),
    onset_utc=moments,
    ends_utc=moments,
    sender=st.sampled_from(["", "NWS Sandhill"]),
)
alerts_told = st.builds(
    AlertsTold,
    alerts=st.lists(alerts, max_size=3).map(tuple),
    problem=st.sampled_from(["", "no answer"]),
)
further = st.builds(
    FurtherFigures,
    source=st.just("Another"),
    age_mark=st.sampled_from(["fresh", "old", "none"]),
    first_utc=moments,
    killing_utc=moments,
    low_f=st.none() | st.floats(-20, 70),
)


@st.composite
def odds(draw):
    if draw(st.booleans()):
        return odds_not_known("Members", START, "no answer")
    freeze, dry = draw(st.tuples(st.floats(0, 100), st.floats(0, 100)))
    hours = draw(st.sampled_from([1, 60, 240]))
    rows = [np.full(hours, one, np.float32) for one in (freeze, dry, 31)]
    rows[0][draw(st.integers(0, hours - 1)) :] = np.nan
    return MemberOdds("Members", NOW, START, *rows)


asides = st.builds(
    Asides,
    alerts=st.dictionaries(st.sampled_from(IDS), alerts_told),
    further=st.dictionaries(st.sampled_from(IDS), further),
    odds=st.dictionaries(st.sampled_from(IDS), odds()),
)


@st.composite
def mornings(draw):
    lows = draw(st.lists(st.integers(26, 58), min_size=10, max_size=10))
    forecast = sky(cells=4, lows_f=lows, age_h=draw(st.sampled_from([3, 13, 30, 80])))
    if draw(st.booleans()):
        forecast = with_hours(forecast, "temp_f", slice(draw(st.integers(0, 215)), None), np.nan)
    visits = [
        visit(one, nacb=draw(st.sampled_from([2.5, 4.5, 7.0])), percent_open=64) for one in IDS[:3]
    ]
    spray = Spray(field_id="f4", sprayed_utc=NOW - timedelta(days=3), treatment_id="mix", **UUID)
    return morning(forecast, FIELDS, visits, sprays=[spray] if draw(st.booleans()) else [])


UUID = {"uuid": "00000000-0000-4000-8000-000000000001"}


@QUIET
@given(report=mornings(), told=asides)
def test_whatever_is_shown_beside_a_call_the_call_is_the_same(report, told):
    shown = with_asides(report, told)

    assert without_asides(shown) == without_asides(report)
    assert [one.field.id for one in shown.fields] == [one.field.id for one in report.fields]
    for one in shown.fields:
        mine = told.alerts.get(one.field.id, AlertsTold())
        assert (one.alerts, one.alerts_problem) == (mine.alerts, mine.problem)


def test_where_nothing_was_asked_nothing_is_shown():
    report = morning(sky(cells=4), FIELDS)
    assert with_asides(report, NO_ASIDES) == report
    assert report.fields[0].alerts == ()
    assert report.fields[0].further is None


def by_hour(freeze_pct=50.0, dry_pct=80.0):
    """Odds that tell their hour: each is one point higher than the last, up to 50 hours."""
    steps = np.arange(50, dtype=np.float32)
    every = np.full(50, 31, np.float32)
    return MemberOdds(
        "Members",
        NOW - timedelta(hours=4),
        START,
        (freeze_pct + steps).clip(max=100).astype(np.float32),
        (dry_pct - steps).astype(np.float32),
        every,
    )


def test_odds_are_those_of_the_hour_the_call_rests_on():
    (call,) = morning(sky()).fields
    assert call.factors_now is not None
    at = (call.factors_now.start_utc - START) // timedelta(hours=1)
    assert 0 < at < 50
    (shown,) = with_asides(morning(sky()), Asides(odds={"f1": by_hour()})).fields

    assert shown.freeze.ensemble_chance_7d_pct == 50.0 + at
    assert shown.freeze.ensemble_members == 31
    assert shown.freeze.ensemble_source == "Members"
    assert shown.freeze.ensemble_issued_utc == NOW - timedelta(hours=4)
    assert shown.freeze.ensemble_problem == ""
    assert shown.factors_now.ensemble_dry_pct == 80.0 - at


def test_a_call_that_rests_on_no_hour_has_the_odds_of_the_first_to_come():
    report = morning(sky(), visits=[])
    assert report.fields[0].factors_now is None
    (shown,) = with_asides(report, Asides(odds={"f1": by_hour()})).fields

    # 6:10 am: the first hour to begin is the next.
    assert shown.freeze.ensemble_chance_7d_pct == 51.0


def test_odds_that_do_not_reach_say_so():
    nothing = MemberOdds("Members", NOW, START, *(np.full(50, np.nan, np.float32),) * 3)
    (shown,) = with_asides(morning(sky()), Asides(odds={"f1": nothing})).fields
    assert shown.freeze.ensemble_chance_7d_pct is None
    assert shown.freeze.ensemble_members is None
    assert "do not tell the seven days" in shown.freeze.ensemble_problem


def test_a_field_beside_the_order_is_shown_alerts_alone():
    spray = Spray(field_id="f1", sprayed_utc=NOW - timedelta(days=3), treatment_id="mix", **UUID)
    watch = AlertsTold(alerts=(FreezeAlertFigures(event="Freeze Watch"),))
    told = Asides({"f1": watch}, {"f1": FurtherFigures(source="Another")}, {"f1": by_hour()})
    (shown,) = with_asides(morning(sky(), sprays=[spray]), told).fields

    assert shown.alerts == watch.alerts
    assert shown.further is None
    assert shown.freeze.ensemble_source == ""
