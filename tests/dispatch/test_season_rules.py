"""The rule that is ours in a simulated season is the ranking itself, and no rule sees the truth."""

from dataclasses import fields, replace
from datetime import timedelta
from uuid import NAMESPACE_URL, uuid5

import numpy as np
import pytest

from dispatch.outlook import field_outlook
from dispatch.ranking import rank_fields
from dispatch.readiness import judge_maturity
from dispatch.report import Call
from dispatch.season import assumptions as assumed
from dispatch.season import run
from dispatch.season.co_op import GATES, KINDS
from dispatch.season.ours import OurRule
from dispatch.season.rules import RULES_OF_OTHERS, tells_of_freeze
from dispatch.season.seen import kind_fields, look_ahead
from dispatch.season.sky import Told, draw_skies, forecast_of, morning_utc
from dispatch.season.walked import OurRuleWalked
from farm.records import Visit

SEED, FIELDS = 404, 30
#: Mornings compared: early, in the middle, and with freezes in the forecast.
MORNINGS = (22, 30, 38, 46, 58)


@pytest.fixture(scope="module")
def season():
    """Two seasons of a seed, with the second as the one looked at."""
    truth, told = draw_skies(SEED, (0, 1), GATES)
    standing = kind_fields(2)
    block = [run._season(SEED, number, number, FIELDS, truth) for number in (0, 1)]
    return truth, told, standing, block


def seen_on(day, told, standing):
    wanted = [(place, kind) for place in (0, 1) for kind in range(len(KINDS))]
    return look_ahead(told, day, wanted, standing)


def view_of(one, day, told, standing, open_=None):
    every = np.ones(FIELDS, dtype=bool) if open_ is None else open_
    return run._view(one, seen_on(day, told, standing), told, day, every)


def ranked(one, rule, view, told, day):
    """The report of a real morning on the same forecast and counts."""
    now, farm = morning_utc(day), rule.farms[one.place]
    visits = [
        Visit(
            uuid=uuid5(NAMESPACE_URL, f"{field.id} {day}"),
            field_id=field.id,
            # Noon there, in summer time.
            observed_utc=morning_utc(int(visited)) + timedelta(hours=6),
            scout="Mara",
            nodes_above_cracked_boll=float(counted),
        )
        for field, counted, visited in zip(farm.registered, view.counted, view.visited, strict=True)
        if counted == counted
    ]
    cells = {
        field.id: one.place * assumed.RAIN_ZONES + KINDS[kind].zone
        for field, kind in zip(farm.registered, one.co_op.kind, strict=True)
    }
    outlook = field_outlook(forecast_of(told, day), cells, farm.registered, farm.rules)
    maturity = judge_maturity(visits, farm.registered, farm.rules, now)
    return rank_fields(farm, [outlook], maturity, now)[0]


@pytest.mark.parametrize("day", MORNINGS)
@pytest.mark.parametrize("place", [0, 1])
def test_the_order_is_that_of_the_ranking(season, day, place):
    _, told, standing, block = season
    one, rule = block[place], OurRule(standing, [each.co_op for each in block])
    view = view_of(one, day, told, standing)
    report = ranked(one, rule, view, told, day)
    acting = [call.field.id for call in report.fields if call.call in (Call.SPRAY, Call.SHORT)]
    bench = rule.bench(view)
    drafted = {draft.one.id: draft.verdict for draft in rule.drafts(view, bench)}
    assert [one.co_op.registered[at].id for at in rule(view)] == acting
    assert bench.line.days == report.run.queue_days
    for call in report.fields:
        if call.maturity.state == "mature":
            verdict = drafted[call.field.id]
            assert verdict.call is call.call
            assert verdict.effect_pct == pytest.approx(call.effect_pct, abs=0.006)
            assert verdict.back_pct == pytest.approx(call.back_of_line_pct, abs=0.006)
        else:
            assert call.field.id not in drafted


@pytest.mark.parametrize("day", MORNINGS)
def test_the_fields_to_walk_are_those_of_the_ranking(season, day):
    _, told, standing, block = season
    one, rule = block[1], OurRuleWalked(standing, [each.co_op for each in block])
    view = view_of(one, day, told, standing)
    report = ranked(one, rule, view, told, day)
    walked = {draft.one.id for _, draft in rule.looks(view, rule.bench(view))}
    assert walked == {call.field.id for call in report.fields if call.call is Call.LOOK}


def test_mornings_compared_hold_calls_of_every_kind(season):
    """Or the two tests above would compare nothing."""
    _, told, standing, block = season
    rule = OurRule(standing, [each.co_op for each in block])
    calls = set()
    for day in MORNINGS:
        view = view_of(block[1], day, told, standing)
        calls |= {call.call for call in ranked(block[1], rule, view, told, day).fields}
    assert calls == {Call.SPRAY, Call.SHORT, Call.LOOK, Call.WAIT}


@pytest.mark.parametrize("day", MORNINGS)
def test_a_rule_reads_nothing_issued_or_counted_after_its_morning(season, day):
    _, told, standing, block = season
    blind = Told(
        **{
            name.name: np.where(
                np.arange(getattr(told, name.name).shape[1]).reshape(
                    1, -1, *[1] * (getattr(told, name.name).ndim - 2)
                )
                <= day + (assumed.LEADS if name.name == "dew_below_low_f" else 0),
                getattr(told, name.name),
                np.nan,
            )
            for name in fields(Told)
        }
    )
    one = block[1]
    later = np.arange(one.state.shape[1]) > day
    unread = replace(
        one,
        state=np.where(later, "mature", one.state),
        mature_since=np.where(later, 0, one.mature_since),
        passes=np.where(later, True, one.passes),
    )
    co_ops = [each.co_op for each in block]
    rules = [OurRule(standing, co_ops), OurRuleWalked(standing, co_ops), *RULES_OF_OTHERS.values()]
    for rule in rules:
        full = rule(view_of(one, day, told, standing))
        assert rule(view_of(unread, day, blind, standing)) == full


def test_what_is_told_holds_no_day_that_came(season):
    """Of days ahead nothing told is simply what comes."""
    truth, told, _, _ = season
    for lead in range(1, assumed.LEADS):
        came = truth.low_f[:, 12 + lead : 90 + lead]
        assert (told.low_f[:, 12:90, lead] == came).mean() < 0.2


def test_the_habit_starts_with_the_first_freeze_told_at_the_middle_field():
    # 37 F at the station is 32 F in a field 5 F colder.
    assert tells_of_freeze(np.array([50.0, 37.0, 45.0]))
    assert not tells_of_freeze(np.array([50.0, 38.0, 45.0]))
