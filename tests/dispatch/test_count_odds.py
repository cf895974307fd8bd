"""How sure a count is stands beside the call and never makes it."""

import pytest
from scipy import stats
from skies import NOW, cotton, morning, only_call, rules, sky, visit

from dispatch.readiness import judge_maturity
from dispatch.report import Call, MaturityFigures
from farm.records import Visit

PLANTS = (4, 3, 5, 4, 3, 4, 5, 2, 4, 3, 5, 4)


def counted(*, days_ago: float = 2, scout: str = "Mara", **counts: object) -> Visit:
    """A visit with these counts and no others."""
    bare = visit(nacb=None, percent_open=None, days_ago=days_ago, scout=scout).model_dump()
    return Visit(**(bare | {"plants_counted": None} | counts))


def judged(*visits: Visit) -> MaturityFigures:
    one = cotton()
    return judge_maturity(visits, [one], {one.id: rules()}, NOW)[one.id].figures


def figures(**counts: object) -> MaturityFigures:
    return judged(counted(**counts))


def test_single_plants_bring_range_odds_and_how_many_more():
    told = figures(plant_nodes=PLANTS)
    mean, error = sum(PLANTS) / 12, stats.sem(PLANTS)
    assert (told.nacb_low, told.nacb_high) == pytest.approx(
        stats.t.interval(0.8, 11, mean, error), abs=0.006
    )
    assert told.chance_mature_pct == pytest.approx(100 * stats.t.cdf(4, 11, mean, error), abs=0.006)
    assert not told.nacb_spread_assumed
    # sd 0.937, 0.167 off: t(0.90) 0.937 / sqrt(n) < 0.167 first at 54 plants (t of 53 df 1.298).
    assert told.count_more == 42
    assert told.reasons[1] == (
        "NACB 3.8 (3.5-4.2 on 12 plants); 72 in 100 that the field is at or below 4; "
        "count 42 more plants to be sure."
    )


def test_plants_far_from_the_line_are_enough():
    told = figures(plant_nodes=(1, 2, 1, 2, 1, 2))
    assert told.count_more == 0
    assert told.reasons[1].endswith("over 99 in 100 that the field is at or below 4; "
                                    "enough plants counted.")  # fmt: skip


def test_plants_on_the_line_are_not_worth_counting_on():
    told = figures(plant_nodes=(3, 5, 4, 4))
    assert (told.chance_mature_pct, told.count_more) == (50, None)
    assert told.reasons[1].endswith("even 100 plants would hardly settle it.")


def test_a_mean_alone_has_a_range_on_an_assumed_spread_and_no_sentence():
    told = figures(nodes_above_cracked_boll=3.8, plants_counted=12)
    assert told.nacb_spread_assumed
    assert told.nacb_low < 3.8 < told.nacb_high
    assert len(told.reasons) == 1


def test_counted_bolls_bring_the_range_of_percent_open():
    """Wilson, 80 in 100, of 64 in 100 bolls: scipy.stats.binomtest."""
    wanted = stats.binomtest(64, 100).proportion_ci(0.8, method="wilson")
    told = figures(bolls_open=64, bolls_closed=36)
    assert told.percent_open_low == pytest.approx(100 * wanted.low, abs=0.006)
    assert told.percent_open_high == pytest.approx(100 * wanted.high, abs=0.006)
    assert told.reasons[1] == "64 % open (58-70 on 100 bolls)."


def test_what_was_seen_from_the_road_has_no_range():
    told = figures(
        nodes_above_cracked_boll=3.2, plants_counted=12, percent_open=64, windshield=True
    )
    assert (told.nacb_low, told.chance_mature_pct, told.percent_open_low) == (None, None, None)


def test_an_old_visit_has_no_odds_for_today():
    told = figures(plant_nodes=PLANTS, days_ago=9)
    assert told.state == "unknown"
    assert (told.chance_mature_pct, told.count_more) == (None, None)
    assert told.reasons[1] == "NACB 3.8 (3.5-4.2 on 12 plants)."


def test_scouts_who_contradict_each_other_leave_no_odds():
    other = counted(nodes_above_cracked_boll=8, scout="Ines", days_ago=2.3)
    told = judged(counted(plant_nodes=PLANTS), other)
    assert told.state == "unknown"
    assert told.reasons[0].startswith("Two scouts disagree")
    assert told.chance_mature_pct is None


@pytest.mark.parametrize("nacb", [3.0, 4.0, 4.5, 8.0])
def test_the_call_is_that_of_the_mean_alone(nacb):
    """The same mean from four plants far apart, which leaves everything open."""
    plants = (nacb - 2, nacb + 2, nacb - 1, nacb + 1)
    of_mean, of_plants = (
        only_call(morning(sky(), visits=[one]))
        for one in (counted(nodes_above_cracked_boll=nacb), counted(plant_nodes=plants))
    )
    assert of_plants.maturity.chance_mature_pct is not None
    assert of_plants.maturity.state == of_mean.maturity.state
    assert (of_plants.call, of_plants.cost_pct) == (of_mean.call, of_mean.cost_pct)
    assert (of_mean.call is Call.SPRAY) == (nacb <= 4)


@pytest.mark.parametrize(
    ("counts", "wanted"),
    [
        (
            {"fruiting_gap": True},
            "A fruiting gap makes NACB and percent open mislead; cut the top bolls.",
        ),
        (
            {"fruiting_gap": True, "cut_stages": (12, 11)},
            "A fruiting gap makes NACB and percent open mislead.",
        ),
        ({"plants_per_ft": 1.2}, "1.2 plants a foot of row; NACB is meant for 2 to 3."),
        ({"plants_per_ft": 4}, "4 plants a foot of row; NACB is meant for 2 to 3."),
    ],
)
def test_what_makes_the_counts_mislead_is_said(counts, wanted):
    assert figures(nodes_above_cracked_boll=3.2, **counts).reasons[-1] == wanted


def test_a_stand_as_the_node_count_wants_it_is_not_mentioned():
    assert len(figures(nodes_above_cracked_boll=3.2, plants_per_ft=2.5).reasons) == 1
