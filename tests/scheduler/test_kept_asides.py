"""What is shown beside the calls is kept to the bit."""

import json
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from hypothesis.extra.numpy import arrays

from dispatch.alert_figures import FreezeAlertFigures
from dispatch.asides import NO_ASIDES, AlertsTold, Asides
from dispatch.further_figures import FurtherFigures
from dispatch.member_odds import MemberOdds, odds_not_known
from scheduler.kept_asides import kept_asides, read_asides

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
WATCH = AlertsTold(
    alerts=(FreezeAlertFigures(event="Freeze Watch", onset_utc=NOW + timedelta(hours=15)),),
    problem="1 alert could not be read",
)


def through_json(asides: Asides) -> Asides:
    return read_asides(json.loads(json.dumps(kept_asides(asides), allow_nan=False)))


def test_alerts_and_further_looks_come_back_as_they_were():
    look = FurtherFigures(source="Another", low_f=29.4, low_utc=NOW, rain_in=0.13)
    asides = Asides(alerts={"a": WATCH, "b": AlertsTold(), "c": WATCH}, further={"a": look})
    again = through_json(asides)

    assert again.alerts == asides.alerts
    assert again.further == asides.further
    assert again.odds == {}


def test_what_fields_share_is_kept_once():
    kept = kept_asides(Asides(alerts={str(number): WATCH for number in range(300)}))
    assert len(kept["alerts"]["told"]) == 1


def test_nothing_is_kept_where_nothing_was_asked():
    assert kept_asides(NO_ASIDES) == {}
    again = through_json(NO_ASIDES)
    assert (again.alerts, again.further, again.odds) == ({}, {}, {})


@given(
    rows=arrays(
        np.float32,
        some.tuples(some.just(3), some.integers(0, 240)),
        elements=some.floats(0, 100, width=32) | some.just(np.nan),
    ),
    issued=some.none() | some.just(NOW),
)
def test_odds_come_back_to_the_bit(rows, issued):
    odds = MemberOdds("Members", issued, NOW, *rows)
    (again,) = through_json(Asides(odds={"a": odds})).odds.values()

    for name in ("freeze_pct", "dry_pct", "members"):
        one, other = getattr(odds, name), getattr(again, name)
        assert other.dtype == np.float32
        np.testing.assert_array_equal(one, other)
    assert (again.source, again.issued_utc, again.start_utc) == ("Members", issued, NOW)


@pytest.mark.parametrize("problem", ["", "no answer"])
def test_why_odds_are_not_known_comes_back(problem):
    odds = odds_not_known("Members", NOW, problem)
    (again,) = through_json(Asides(odds={"a": odds})).odds.values()
    assert again.problem == problem
    assert again.freeze_pct.size == 0
