"""Everything behind one field's call, in sections a person can read from top to bottom."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dispatch.field_rules import FieldRules
from dispatch.report import Call, Factors, FieldCall, MorningReport
from dispatch.words import LocalClock, amount, day, plural
from farm.records import Visit
from notify.beside_blocks import harvest_words
from notify.user_text import plain_line
from scheduler.aside_lines import asides_section, dry_by_members
from scheduler.beside_evidence import after_freeze_section, picked_section
from scheduler.coming_days import coming_days_section
from scheduler.crop_evidence import after_spray_lines
from scheduler.evidence import forecast_section, maturity_section, weather_section, windows_section
from scheduler.explained_hours import hours_section
from scheduler.own_error_lines import own_errors_section
from scheduler.section import Section, fact
from scheduler.wash_words import wash_lines, wash_words

CAUTION = (
    "The label is the law and a licensed applicator decides; mind drift, re-entry and the wind "
    "where you stand."
)


@dataclass(frozen=True)
class Evidence:
    """What the explanation of one field is told from; ``who_tells`` its forecast by the config."""

    report: MorningReport
    call: FieldCall
    visits: Sequence[Visit] = ()
    rules: FieldRules | None = None
    who_tells: str = ""

    @property
    def clock(self) -> LocalClock:
        """Times as they are told on the field, as of that morning."""
        run = self.report.run
        return LocalClock(self.call.field.time_zone, run.time_zone, run.local_date)


def explain(told: Evidence) -> list[Section]:
    """The sections, the call first."""
    one, clock = told.call, told.clock
    if one.standing != "open":
        return _beside(told)
    sections = [
        _headline(told),
        _multiplication(told),
        _order(told),
        windows_section(one, clock),
        weather_section(one, clock, told.rules),
        own_errors_section(told.report.run.own_low_errors, one.forecast.source),
        maturity_section(one, clock, told.visits, told.rules),
        coming_days_section(one),
        hours_section(one, clock, told.report.run.made_utc),
        forecast_section(one, clock, told.who_tells),
        asides_section(one, clock),
        Section("", (CAUTION,)),
    ]
    return [section for section in sections if section.lines or section.rows]


def _beside(told: Evidence) -> list[Section]:
    """What is told of a field beside the order: frozen, sprayed or picked."""
    one, clock = told.call, told.clock
    sections = [
        _headline(told),
        _spray(told),
        after_freeze_section(one, clock),
        picked_section(one),
        maturity_section(one, clock, told.visits, told.rules),
        asides_section(one, clock),
        Section("", (CAUTION,)),
    ]
    return [section for section in sections if section.lines or section.rows]


def _spray(told: Evidence) -> Section:
    done = told.call.follow_up
    if done is None:
        return Section("", ())
    by = plain_line(done.spray.applicator)
    lines = [
        fact("sprayed", told.clock.moment(done.spray.sprayed_utc) + (f", by {by}" if by else "")),
        fact("with", plain_line(done.spray.treatment_id)),
        fact("rig", plain_line(done.spray.rig_id or "not noted")),
        fact(
            "check the leaf drop", f"{day(done.check_first_on)}, again {day(done.check_second_on)}"
        ),
        *after_spray_lines(done, told.clock),
    ]
    return Section("The spray", tuple(lines))


def _headline(told: Evidence) -> Section:
    one, run = told.call, told.report.run
    name = plain_line(one.field.name)
    title = f"{name}: {_call_words(told)}"
    facts = [
        f"{amount(one.field.acres)} ac",
        f"grower {plain_line(one.grower_name)}" if one.grower_name else "",
        f"treatment {plain_line(one.treatment_name)}" if one.treatment_name else "",
        f"id {one.field.id}",
    ]
    made = told.clock.moment(run.made_utc)
    lines = [
        ", ".join(fact for fact in facts if fact),
        f"as decided on {day(run.local_date)}, made {made}",
        *([f"mind beside it: {plain_line(one.field.sensitive)}"] if one.field.sensitive else []),
        "",
        *[plain_line(reason) for reason in one.reasons],
    ]
    if one.to_do:
        lines += ["", f"To do: {plain_line(one.to_do)}"]
    return Section(title, tuple(lines))


def _call_words(told: Evidence) -> str:
    one = told.call
    if one.standing == "picked":
        return "PICKED"
    if one.follow_up:
        return f"SPRAYED {told.clock.moment(one.follow_up.spray.sprayed_utc)}"
    if one.standing == "frozen":
        return "AFTER THE FREEZE"
    word = "NOT KNOWN" if one.call is Call.UNKNOWN else one.call.value.upper()
    if one.rank is None:
        return word
    ranked = sum(other.rank is not None for other in told.report.fields)
    held = ", held for the harvest" if one.held_for_harvest else ""
    return f"{word}, number {one.rank} of {ranked}{held}"


def _multiplication(told: Evidence) -> Section:
    one, clock = told.call, told.clock
    now, back = one.factors_now, one.factors_back
    if now is None and back is None:
        return Section("", ())
    rows = [
        ("start hour", *_both(now, back, lambda at: clock.moment(at.start_utc))),
        ("heat dose, share of the need", *_both(now, back, lambda told: f"{told.dose:.2f}")),
        ("warmth alone", *_both(now, back, lambda told: f"{told.warmth:.2f}")),
        ("  warmth the leaf lives to use", *_both(now, back, lambda t: f"{t.warmth_alive:.4f}")),
        ("chance of washing rain", *_both(now, back, wash_words)),
        *_dry_by_members(now, back),
        ("  x dry", *_both(now, back, lambda told: f"{told.dry:.4f}")),
        ("  x ready (maturity by then)", *_both(now, back, lambda told: f"{told.ready:.4f}")),
        ("  x 100 = effect", *_both(now, back, lambda told: f"{told.effect_pct:.1f}")),
        ("told by", *_both(now, back, lambda told: "climate" if told.on_climate else "forecast")),
    ]
    lines = []
    if now is not None:
        lines.append(
            f"effect {now.effect_pct:.1f} = 100 x {now.warmth_alive:.4f} x {now.dry:.4f} x "
            f"{now.ready:.4f}: of 100 points a perfect spray would have"
        )
        lines += wash_lines(now, told.rules)
    return Section(
        "The effect", tuple(lines), ("", "now", "from the back of the line"), tuple(rows)
    )


def _dry_by_members(now: Factors | None, back: Factors | None) -> list[tuple[str, str, str]]:
    """The row of the dry hours by members, where there are any."""
    if all(one is None or one.ensemble_dry_pct is None for one in (now, back)):
        return []
    return [("  dry by members, shown beside", *_both(now, back, dry_by_members))]


def _both(
    now: Factors | None, back: Factors | None, words: Callable[[Factors], str]
) -> tuple[str, str]:
    at_now, at_back = ("not known" if told is None else words(told) for told in (now, back))
    return at_now, at_back


def _order(told: Evidence) -> Section:
    one, run = told.call, told.report.run
    lines = [
        f"The line is {plural(run.queue_days, 'day')} long: {amount(run.queue_rig_hours)} "
        "rig-hours of fields that are or soon will be mature, "
        f"{amount(run.usable_rig_hours_a_day)} usable a day with {plural(run.rigs, 'rig')}."
    ]
    if one.effect_pct is not None and one.back_of_line_pct is not None and one.cost_pct is not None:
        on = f" ({day(one.back_of_line_on)})" if one.back_of_line_on else ""
        lines.append(
            f"cost of the back of the line {one.cost_pct:.1f} = {one.effect_pct:.1f} now - "
            f"{one.back_of_line_pct:.1f} from there{on}"
        )
    if one.order_points is not None and one.cost_pct is not None:
        lines.append(
            f"order points {one.order_points:.0f} = {one.cost_pct:.1f} x "
            f"{amount(one.field.acres)} ac / {one.rig_hours:.2f} rig-hours; the most first"
        )
    if run.harvest is not None:
        lines.append(harvest_words(run.harvest))
    if one.acres_lost is not None:
        lines.append(f"going to the back would lose the worth of {amount(one.acres_lost)} acres")
    return Section("The order", tuple(lines))
