"""Fields that wait, and fields that were sprayed."""

from datetime import date, timedelta

from dispatch.report import FieldCall, FollowUp
from dispatch.words import LocalClock, day, plural
from notify.maturity_words import expected, scouting_sentences
from notify.page import Block, ClockOf, Row
from notify.reasons import sentences, telling_reasons
from notify.role_detail import Detail
from notify.rows import in_short, name_of
from notify.user_text import plain_line


def wait_block(
    fields: tuple[FieldCall, ...], clock_of: ClockOf, detail: Detail, worded: int
) -> Block | None:
    """Fields that wait, the soonest first, past ``worded`` in short."""
    if not fields:
        return None
    ordered = sorted(fields, key=lambda one: _wait_day(one) or date.max)
    shown = ordered[: detail.wait_rows]
    rows = tuple(
        Row(name_of(one), _wait_words(one), _why_wait(one, clock_of, detail))
        for one in shown[:worded]
    )
    rows += in_short(shown[worded:], _wait_day_words)
    left = len(ordered) - len(shown)
    return Block(f"WAIT ({len(ordered)})", rows, more=f"and {left} later" if left else "")


def sprayed_block(
    fields: tuple[FieldCall, ...], clock_of: ClockOf, detail: Detail, today: date, worded: int
) -> Block | None:
    """Sprayed fields, those to be checked for leaf drop today first, past ``worded`` in short."""
    followed = [(one, one.follow_up) for one in fields if one.follow_up is not None]
    if not followed:
        return None
    followed.sort(key=lambda pair: (not pair[1].due_today, next_check(pair[1], today) or date.max))
    due = sum(follow_up.due_today for _, follow_up in followed)
    limit = detail.sprayed_rows
    shown = followed if limit is None else followed[: max(limit, due)]
    rows = tuple(
        Row(name_of(one), check_words(follow_up, today), sprayed_words(one, follow_up, clock_of))
        for one, follow_up in shown[:worded]
    )
    checks = {one.field.id: check_words(follow_up, today) for one, follow_up in shown}
    rows += in_short((one for one, _ in shown[worded:]), lambda one: checks[one.field.id])
    left = len(followed) - len(shown)
    return Block(f"SPRAYED ({len(followed)})", rows, more=f"and {left} later" if left else "")


def _wait_day(one: FieldCall) -> date | None:
    figures = one.maturity
    if figures.state == "mature":
        return one.wait_until
    days = (figures.ready_on, figures.look_again_on or one.wait_until)
    return min((on for on in days if on is not None), default=None)


def _wait_words(one: FieldCall) -> str:
    figures = one.maturity
    if figures.state == "mature":
        return f"mature; about {day(one.wait_until)}" if one.wait_until else "mature; day not known"
    again = figures.look_again_on or one.wait_until
    if figures.ready_on is not None:
        return f"ready {expected(figures)}"
    return f"look again {day(again)}" if again else "no day can be told yet"


def _wait_day_words(one: FieldCall) -> str:
    """When a field that waits is due, without the spread of that day."""
    ready_on = one.maturity.ready_on
    if one.maturity.state == "mature" or ready_on is None:
        return _wait_words(one)
    return f"ready about {day(ready_on)}"


def _why_wait(one: FieldCall, clock_of: ClockOf, detail: Detail) -> tuple[str, ...]:
    if not detail.wait_lines:
        # A mature field that is not sprayed needs its reason even in the short list.
        return telling_reasons(one)[:1] if one.maturity.state == "mature" else ()
    lines = [*telling_reasons(one)[: detail.reasons], one.to_do]
    if detail.scouting:
        lines += scouting_sentences(one, clock_of(one), said_already=True)
    mark = f"{_wait_words(one)}.".casefold()
    return tuple(said for said in sentences(tuple(lines)) if said.casefold() != mark)


def next_check(follow_up: FollowUp, today: date) -> date | None:
    """The next day after today on which leaf drop is checked; None where both are past."""
    checks = (follow_up.check_first_on, follow_up.check_second_on)
    return min((on for on in checks if on > today), default=None)


def check_words(follow_up: FollowUp, today: date) -> str:
    """When leaf drop is to be checked."""
    if follow_up.due_today:
        return "check leaf drop today"
    ahead = next_check(follow_up, today)
    if ahead is None:
        return "both checks past; pick when ready and the label allows"
    return "check leaf drop " + ("tomorrow" if ahead - today == timedelta(days=1) else day(ahead))


def sprayed_words(one: FieldCall, follow_up: FollowUp, clock_of: ClockOf) -> tuple[str, ...]:
    """When and with what a field was sprayed, and whether it wants a second pass."""
    said = _sprayed(one, follow_up, clock_of)
    return (said, follow_up.second_pass_words) if follow_up.second_pass else (said,)


def _sprayed(one: FieldCall, follow_up: FollowUp, clock_of: ClockOf) -> str:
    clock: LocalClock = clock_of(one)
    on = day(clock.local(follow_up.spray.sprayed_utc).date())
    mix = plain_line(follow_up.treatment_name or follow_up.spray.treatment_id)
    since = follow_up.days_since
    ago = f", {plural(round(since), 'day')} ago" if since >= 1 else ""
    return f"Sprayed {on} with {mix}{ago}."
