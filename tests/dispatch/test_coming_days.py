"""Each coming day of a field that is not mature, with a band."""

from datetime import date, timedelta

import pytest
from skies import NOW, cotton, morning, only_call, rules, sky, visit

from dispatch.projection import daily_heat
from dispatch.readiness import judge_maturity
from dispatch.report import MorningReport

TODAY = date(2026, 10, 6)


def days_of(*visits, field_rules=None):
    one = cotton()
    judged = judge_maturity(visits, [one], {"f1": field_rules or rules()}, NOW)
    return judged["f1"].figures


def test_a_field_not_mature_has_its_next_fourteen_days_told():
    days = days_of(visit(nacb=7, percent_open=35)).coming_days
    assert [one.date for one in days] == [TODAY + timedelta(days=n) for n in range(1, 15)]


def test_nodes_fall_with_normal_heat_and_the_band_widens_around_them():
    figures = days_of(visit(nacb=7, percent_open=35, days_ago=0))
    days = figures.coming_days
    # 50 F days a node, the default; nodes gone by hand from the heat of the days between.
    heat = daily_heat(rules().climate, TODAY, 14).cumsum()
    for one, warmth in zip(days, heat, strict=True):
        assert one.nacb == pytest.approx(7 - warmth / 50, abs=0.006)
        assert one.nacb_low < one.nacb < one.nacb_high
    widths = [one.nacb_high - one.nacb_low for one in days]
    assert widths == sorted(widths)
    # A count spreads by 0.6 nodes: 8 of 10 within 1.28 times that either side.
    assert widths[0] == pytest.approx(2 * 1.2816 * 0.6, abs=0.08)


def test_the_first_day_at_the_limit_is_the_day_it_should_be_mature():
    figures = days_of(visit(nacb=4.8, percent_open=48))
    at_limit = [one.date for one in figures.coming_days if one.nacb <= 4.0]
    assert figures.ready_on == at_limit[0]


def test_percent_open_is_carried_on_from_what_was_counted():
    (first, *_) = days_of(visit(nacb=7, percent_open=20, days_ago=0)).coming_days
    assert first.percent_open == pytest.approx(20 + (7 - first.nacb) * 10, abs=0.11)


def test_percent_open_goes_with_the_nodes_where_none_was_counted():
    (first, *_) = days_of(visit(nacb=7, percent_open=None, days_ago=0)).coming_days
    # Four nodes with 60 % and ten points a node: seven nodes go with 30 %.
    assert first.percent_open == pytest.approx(30 + (7 - first.nacb) * 10, abs=0.11)


def test_nodes_and_percent_open_stay_inside_what_is_possible():
    hot = rules()
    climate = hot.climate.model_copy(update={"normal_high_f": (99,) * 5, "normal_low_f": (75,) * 5})
    late = days_of(
        visit(nacb=7, percent_open=45, days_ago=1),
        field_rules=type(hot)(hot.gates, hot.maturity, hot.treatment, climate),
    ).coming_days[-1]
    assert late.nacb == late.nacb_low == 0
    assert late.percent_open == 100


@pytest.mark.parametrize(
    "visits",
    [
        pytest.param((), id="never scouted"),
        pytest.param((visit(nacb=3.2, percent_open=64),), id="mature"),
    ],
)
def test_a_field_mature_or_never_counted_has_none(visits):
    assert days_of(*visits).coming_days == ()


def test_no_call_rests_on_a_projection_and_it_survives_the_json():
    ripe_soon = visit(nacb=4.9, percent_open=49, days_ago=6)
    report = morning(sky(), visits=[ripe_soon])
    call = only_call(report)
    assert min(one.nacb for one in call.maturity.coming_days) <= 4
    assert call.call not in ("spray", "short")
    assert MorningReport.model_validate_json(report.model_dump_json()) == report
