"""Fields beside the order: hit by a freeze, sprayed, or picked. Their call is wait."""

from dispatch.draft import Draft
from dispatch.follow_up import follow_up, treatment_of
from dispatch.frozen_words import frozen_sentences, look_to_do, sprayed_frozen_sentence
from dispatch.report import Call, FieldCall


def call_beside(draft: Draft) -> FieldCall:
    """The call of a field that is on one of the lists beside the order."""
    if draft.standing == "picked":
        return _picked(draft)
    return _sprayed(draft) if draft.standing == "sprayed" else _frozen(draft)


def _picked(draft: Draft) -> FieldCall:
    clock, picked = draft.clock, draft.bench.picked[draft.one.id]
    on = clock.local(picked.last_utc).date()
    said = (f"Picked {clock.day_name(on)}.",)
    return draft.call_with(call=Call.WAIT, picked_on=on, because=said, reasons=said)


def _frozen(draft: Draft) -> FieldCall:
    told = draft.frozen
    assert told is not None
    said = frozen_sentences(told, draft.bench.farm.rules[draft.one.id].gates, draft.clock)
    return draft.call_with(
        call=Call.WAIT,
        after_freeze=told,
        wait_until=None if told.found == "killed" else max(told.inspect_from, draft.clock.today),
        because=said,
        reasons=said,
        to_do=look_to_do(told),
    )


def _sprayed(draft: Draft) -> FieldCall:
    farm, clock = draft.bench.farm, draft.clock
    spray = farm.sprays[draft.one.id]
    mixes = (farm.rules[draft.one.id], *farm.rules.values())
    told = follow_up(
        spray,
        treatment_of(spray, (rule.treatment for rule in mixes)),
        farm.treatments.get(spray.treatment_id, ""),
        draft.bench.maturity[draft.one.id].leaf_drops,
        draft.bench.now,
        clock,
        draft.leaf_drop_on(spray.sprayed_utc),
    )
    on = clock.day_name(clock.local(spray.sprayed_utc).date())
    froze = "" if draft.frozen is None else sprayed_frozen_sentence(draft.frozen, spray, clock)
    sprayed = f"Sprayed {on}, {told.days_since:.0f} days ago."
    said = tuple(filter(None, (sprayed, froze, told.second_pass_words)))
    check = min((one for one in told.checks if one >= clock.today), default=None)
    return draft.call_with(
        call=Call.WAIT,
        follow_up=told,
        after_freeze=draft.frozen,
        wait_until=check,
        because=said,
        reasons=said,
        to_do="Check leaf drop today." if told.due_today else "",
    )
