"""Fields to spray, each as a card."""

from dispatch.report import Call, FieldCall, Window
from dispatch.words import LocalClock, amount
from notify.freeze_words import field_freeze
from notify.hour_strip import draw_strip
from notify.maturity_words import maturity_sentence, scouting_sentences
from notify.page import Card, Effect, ShortCard
from notify.reasons import telling_reasons
from notify.role_detail import Detail
from notify.rows import size_of
from notify.user_text import plain_line, with_stop

_BOUND = {
    "freeze": " (then freeze)",
    "weather": " (then weather)",
    "sight": " (later is not seen yet)",
}


def spray_card(one: FieldCall, clock: LocalClock, detail: Detail, *, drawn: bool) -> Card:
    """The card of a field that is sprayed next, in full or short; ``drawn`` adds the strip."""
    windows = _in_use(one)
    first = windows[0] if windows else None
    given_up, reasons = _given_up(one)
    return Card(
        rank=one.rank or 0,
        name=plain_line(one.field.name) or "field without a name",
        size=_size(one, detail),
        call_word="SHORT" if one.call is Call.SHORT else "SPRAY",
        act=_act(one, clock, given_up),
        when=clock.span(first.start_utc, first.end_utc) if first else "window not known",
        air=_air(first),
        more_windows=tuple(_window(other, clock) for other in windows[1 : detail.windows]),
        effect=_effect(one, clock),
        facts=_facts(one, clock, detail),
        reasons=reasons[: detail.reasons],
        strip=draw_strip(one.strip, clock) if one.strip and drawn else None,
    )


def short_card(one: FieldCall, clock: LocalClock, detail: Detail) -> ShortCard:
    """What is acted on of a field to spray, and nothing else."""
    first = next(iter(_in_use(one)), None)
    parts = ["SHORT" if one.call is Call.SHORT else "SPRAY"]
    parts.append(clock.span(first.start_utc, first.end_utc) if first else "window not known")
    by = "" if one.spray_by_utc is None else f"; by {clock.weekday_moment(one.spray_by_utc)}"
    said = f"{' '.join(parts)}{by}; {size_of([one], detail)}"
    return ShortCard(one.rank or 0, plain_line(one.field.name) or "field without a name", said)


def _in_use(one: FieldCall) -> tuple[Window, ...]:
    """Windows to act on: the full ones of a field that has any, else all."""
    full = tuple(window for window in one.windows if window.full)
    return full if full and one.call is Call.SPRAY else one.windows


def _given_up(one: FieldCall) -> tuple[str, tuple[str, ...]]:
    """What a short field gives up, and the other reasons."""
    reasons = telling_reasons(one)
    if one.call is not Call.SHORT:
        return "", reasons
    return " ".join(said.removeprefix("Short: ") for said in reasons[:1]), reasons[1:]


def _size(one: FieldCall, detail: Detail) -> str:
    parts = [f"{amount(one.field.acres)} ac"]
    if detail.figures:
        parts.append(f"{amount(one.rig_hours)} rig-h")
    grower = plain_line(one.grower_name)
    if detail.names_grower and grower:
        parts.append(grower)
    if detail.scouting and one.treatment_name:
        parts.append(plain_line(one.treatment_name))
    return ", ".join(parts)


def _act(one: FieldCall, clock: LocalClock, given_up: str) -> str:
    if one.call is Call.SHORT:
        return f"no full window left: {given_up.rstrip('.')}" if given_up else "no full window left"
    if one.spray_by_utc is None:
        return "spray-by not known"
    bound = _BOUND.get(one.spray_by_bound or "", "")
    return f"spray by {clock.weekday_moment(one.spray_by_utc)}{bound}"


def _window(window: Window, clock: LocalClock) -> str:
    part = "" if window.full else " (part of a window)"
    return f"{clock.span(window.start_utc, window.end_utc)}{part}"


def _air(window: Window | None) -> str:
    if window is None:
        return ""
    parts = [_wind(window)] if window.wind_high_mph is not None else []
    if window.dry_h is not None:
        seen = " (as far as seen)" if window.dry_to_sight_end else ""
        parts.append(f"then {amount(window.dry_h)} h dry{seen}")
    return ", ".join(parts)


def _wind(window: Window) -> str:
    low, high = window.wind_low_mph, window.wind_high_mph or 0.0
    speeds = f"{round(high)}" if low is None or round(low) == round(high) else ""
    direction = f" {plain_line(window.wind_from)}" if window.wind_from else ""
    return f"wind {speeds or f'{round(low or 0.0)}-{round(high)}'} mph{direction}"


def _effect(one: FieldCall, clock: LocalClock) -> Effect | None:
    if one.effect_pct is None:
        return None
    now = round(one.effect_pct)
    if one.back_of_line_pct is None:
        said = f"Effect {now} of 100 now; from the back of the line not known."
        return Effect(now, None, "", said)
    back = round(one.back_of_line_pct)
    when = clock.day_name(one.back_of_line_on) if one.back_of_line_on else ""
    on = f" ({when})" if when else ""
    said = f"Effect {now} of 100 now, {back} from the back of the line{on}."
    return Effect(now, back, when, said)


def _facts(one: FieldCall, clock: LocalClock, detail: Detail) -> tuple[str, ...]:
    if detail.scouting:
        facts = [*scouting_sentences(one, clock)]
    else:
        facts = [maturity_sentence(one.maturity, clock)]
    facts.append(field_freeze(one, clock, killing=detail.figures))
    if detail.figures and one.heat_units_7d_f_days is not None:
        facts.append(f"Warmth: {round(one.heat_units_7d_f_days)} DD60 in 7 days.")
    if one.field.sensitive:
        facts.append(with_stop(f"Mind beside it: {one.field.sensitive}"))
    return tuple(facts)
