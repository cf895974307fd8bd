"""Maturity of a field from the counts of a visit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.maturity import judge
from agronomy.thresholds import MaturityRules

RULES = MaturityRules()


def _judge(**counts):
    return judge(**({"visit_age_days": 1.0, "rules": RULES} | counts))


# PRACTICE: trade facts. NACB 4 or 60 % open; 50 % beside a mature node count, 40 % with mature cut
# bolls in short-season country; a visit counts for a week. Common practice, no source.
PRACTICE = [
    pytest.param({"nacb": 4.0}, "mature", id="NACB 4 alone"),
    pytest.param({"nacb": 4.1}, "nearly", id="NACB just above 4"),
    pytest.param({"nacb": 6.0}, "nearly", id="NACB 6"),
    pytest.param({"nacb": 6.1}, "not_yet", id="NACB above 6"),
    pytest.param({"percent_open": 60.0}, "mature", id="60 % open alone"),
    pytest.param({"percent_open": 59.0}, "nearly", id="59 % open"),
    pytest.param({"percent_open": 39.0}, "not_yet", id="39 % open"),
    pytest.param({"nacb": 3.2, "percent_open": 64.0}, "mature", id="both mature"),
    pytest.param({"nacb": 3.2, "percent_open": 50.0}, "mature", id="NACB with 50 % open"),
    pytest.param({"nacb": 5.0, "percent_open": 64.0}, "mature", id="64 % open with NACB 5"),
    pytest.param({"nacb": 3.2, "percent_open": 45.0}, "nearly", id="NACB against 45 % open"),
    pytest.param({"nacb": 5.1, "percent_open": 64.0}, "nearly", id="64 % open against NACB 5.1"),
    pytest.param({"nacb": 4.5, "percent_open": 55.0}, "nearly", id="neither quite"),
    pytest.param({"nacb": 8.0, "percent_open": 20.0}, "not_yet", id="neither"),
]
PASSED = {"bolls_cut": 8, "bolls_cut_mature": 8}
FAILED = {"bolls_cut": 8, "bolls_cut_mature": 6}


@pytest.mark.parametrize(("counts", "state"), PRACTICE)
def test_counts_are_judged_as_the_trade_does(counts, state):
    assert _judge(**counts).state == state


@pytest.mark.parametrize(
    ("counts", "state", "disagree"),
    [
        ({"nacb": 3.2, "percent_open": 40.0}, "mature", False),
        ({"nacb": 3.2, "percent_open": 39.0}, "nearly", True),
        ({"nacb": 7.0, "percent_open": 64.0}, "mature", False),
        ({"nacb": 4.5, "percent_open": 55.0}, "nearly", False),
        ({"nacb": 8.0, "percent_open": 20.0}, "not_yet", False),
    ],
)
def test_a_passed_cut_test_settles_a_disagreement_and_nothing_more(counts, state, disagree):
    got = _judge(**counts, **PASSED)
    assert (got.state, got.cut_test, got.disagree) == (state, "passed", disagree)
    assert "8 of 8 cut bolls mature" in got.reasons


def test_counts_that_disagree_ask_for_the_knife():
    for counts in ({"nacb": 3.2, "percent_open": 45.0}, {"nacb": 7.0, "percent_open": 64.0}):
        got = _judge(**counts)
        assert got.disagree
        assert got.reasons[0] == "the counts disagree: cut the top bolls"


@pytest.mark.parametrize(("counts", "state"), PRACTICE)
def test_an_immature_cut_boll_forbids_mature(counts, state):
    got = _judge(**counts, **FAILED)
    assert got.state == ("nearly" if state == "mature" else state)
    assert got.cut_test == "failed"
    assert got.reasons[0] == "only 6 of 8 cut bolls mature"
    assert not any("cut the top bolls" in reason for reason in got.reasons)


def test_an_immature_boll_on_a_vegetative_branch_forbids_mature():
    counts = {"nacb": 3.2, "percent_open": 64.0, "vegetative_bolls_cut": 3}
    assert _judge(**counts, vegetative_bolls_mature=3).state == "mature"
    got = _judge(**counts, vegetative_bolls_mature=1)
    assert got.state == "nearly"
    assert got.reasons[0] == "only 1 of 3 cut bolls on vegetative branches mature"


@pytest.mark.parametrize("cut", ["bolls_cut", "vegetative_bolls_cut"])
def test_cut_bolls_without_a_result_forbid_mature(cut):
    got = _judge(nacb=3.2, percent_open=64.0, **{cut: 5})
    assert got.state == "nearly"
    assert got.cut_test is None
    assert got.reasons[0].endswith("result not written down")


def test_a_view_from_the_road_never_makes_a_field_mature():
    got = _judge(percent_open=90.0, windshield=True)
    assert got.state == "nearly"
    assert "estimated from the road; count plants" in got.reasons
    assert _judge(percent_open=90.0, nacb=4.5, windshield=True).state == "nearly"
    assert _judge(percent_open=90.0, windshield=True, **PASSED).state == "nearly"
    assert _judge(percent_open=90.0, nacb=3.0, windshield=True).state == "mature"


def test_a_view_from_the_road_can_contradict_a_count():
    assert _judge(percent_open=30.0, nacb=3.0, windshield=True).state == "nearly"


@pytest.mark.parametrize(
    ("age", "reason"),
    [
        (None, "no visit yet"),
        (9.0, "last visit 9 days ago, older than 7"),
        (7.04, "last visit 7.1 days ago, older than 7"),
        (-2.0, "last visit is dated 2 days ahead; check its date"),
    ],
)
def test_without_a_recent_visit_maturity_is_unknown(age, reason):
    got = _judge(nacb=2.0, percent_open=90.0, visit_age_days=age)
    assert (got.state, got.reasons) == ("unknown", (reason,))


def test_a_visit_of_exactly_a_week_still_counts():
    assert _judge(nacb=2.0, visit_age_days=7.0).state == "mature"


def test_a_cut_test_alone_is_no_count():
    got = _judge(**PASSED)
    assert got.state == "unknown"
    assert got.cut_test == "passed"
    assert got.reasons == ("8 of 8 cut bolls mature, but neither NACB nor percent open counted",)
    assert _judge().reasons == ("neither NACB nor percent open counted",)


def test_reasons_carry_the_figures():
    assert _judge(nacb=3.2, percent_open=64.0).reasons == (
        "NACB 3.2, at most 4 is mature",
        "64 % open, at least 60 is mature",
    )
    assert _judge(nacb=3.2, percent_open=52.0).reasons[-1] == "near agreement of both counts"


def test_limits_can_be_set_by_region():
    rules = MaturityRules(nacb_max=5.0, nacb_ceiling=6.0)
    assert judge(nacb=4.8, visit_age_days=1.0, rules=rules).state == "mature"


@pytest.mark.parametrize(
    ("counts", "message"),
    [
        ({"nacb": -1.0}, r"nacb: got -1, wanted 0 to 40"),
        ({"nacb": float("nan")}, r"nacb: got nan, wanted"),
        ({"percent_open": 101.0}, r"percent_open: got 101, wanted 0 to 100"),
        ({"bolls_cut": -1}, r"bolls_cut: got -1, wanted 0 or more"),
        ({"bolls_cut": 4, "bolls_cut_mature": 5}, r"bolls_cut_mature: got 5 of 4 cut, wanted"),
        ({"bolls_cut_mature": 5}, r"bolls_cut_mature: got 5 of 0 cut"),
        (
            {"vegetative_bolls_cut": 1, "vegetative_bolls_mature": 2},
            r"vegetative_bolls_mature: got 2 of 1 cut",
        ),
        ({"visit_age_days": float("nan")}, r"visit_age_days: got nan"),
    ],
)
def test_impossible_counts_are_refused_by_name(counts, message):
    with pytest.raises(ValueError, match=message):
        _judge(**({"nacb": 3.0} | counts))


order = {"not_yet": 0, "nearly": 1, "mature": 2}
nodes = st.none() | st.floats(min_value=0, max_value=12)
shares = st.none() | st.floats(min_value=0, max_value=100)
cuts = st.sampled_from([{}, PASSED, FAILED])


@given(nodes, shares, cuts, st.booleans(), st.floats(min_value=0, max_value=12))
def test_a_riper_count_never_makes_a_field_less_mature(nacb, open_pct, cut, windshield, fewer):
    before = _judge(nacb=nacb, percent_open=open_pct, windshield=windshield, **cut)
    if nacb is None or before.state == "unknown":
        return
    riper = max(0.0, nacb - fewer)
    after = _judge(nacb=riper, percent_open=open_pct, windshield=windshield, **cut)
    assert order[after.state] >= order[before.state]


@given(nodes, shares, st.booleans())
def test_an_older_visit_or_a_failed_cut_never_makes_a_field_mature(nacb, open_pct, windshield):
    counts = {"nacb": nacb, "percent_open": open_pct, "windshield": windshield}
    assert _judge(**counts, **FAILED).state != "mature"
    assert _judge(**counts, visit_age_days=8.0).state == "unknown"
