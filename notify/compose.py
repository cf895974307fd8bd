"""The page of one person's morning, put together block by block."""

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.words import LocalClock, amount, day, plural
from farm.people import Person, Role
from notify.beside_blocks import frozen_block, harvest_words, held_block, picked_block
from notify.cards import short_card, spray_card
from notify.forecast_words import forecast_words
from notify.freeze_words import MAY_CLEAR
from notify.later_rows import sprayed_block, wait_block
from notify.page import ClockOf, Page, Tally
from notify.role_detail import DETAIL, Detail
from notify.rows import unknown_block, walk_block
from notify.user_text import plain_line, with_stop

CAUTIONS = (
    "The label is the law, and a licensed applicator decides.",
    "Mind drift and inversions: what counts is the wind where you stand, not the wind on this "
    "page.",
    "Keep the re-entry time and the harvest interval of the label.",
    "Weather and freeze forecasts can be wrong.",
)

#: Large mail programs cut a message off at about 100 kB (common knowledge, no source), and what is
#: cut off is the cautions at the end: so they are also told at the top, in short.
FIRST_CAUTION = f"{CAUTIONS[0]} The other cautions stand at the end."

#: Fields to spray that get a whole card with an hour strip, fewer where lists are cut; the rest
#: are rows.
FULL_CARDS, FULL_CARDS_OF_MANY = 12, 6

#: Fields past the cards that are told in whole sentences, in all lists together; the others are
#: told in a few words each, none is left out. Twelve cards and these fill the 100 kB.
WORDED_ROWS = 60


def compose(report: MorningReport, person: Person, stop_line: str) -> Page:
    """What ``report`` (already cut down to what ``person`` may see) says to them."""
    run, detail = report.run, DETAIL[person.role]
    clock_of = field_clocks(report)
    farm = LocalClock(run.time_zone, run.time_zone, run.local_date)
    cards = report.to_act_on()
    worded = _worded(report, detail)
    whole = FULL_CARDS if len(cards) <= FULL_CARDS + worded["spray"] else FULL_CARDS_OF_MANY
    return Page(
        local_date=run.local_date,
        day=day(run.local_date),
        farm=plain_line(run.farm_name),
        subject=subject(report),
        preheader=_preheader(report),
        tally=tally(report),
        summary=summary(report, own=person.role is Role.GROWER),
        lead=lead(report, farm),
        unknown=unknown_block(report.with_call(Call.UNKNOWN), clock_of, detail, worded["unknown"]),
        spray_title=_spray_title(report, cards, detail, own=person.role is Role.GROWER),
        cards=tuple(
            spray_card(one, clock_of(one), detail, drawn=place < whole)
            for place, one in enumerate(cards[: whole + worded["spray"]])
        ),
        short_cards=tuple(
            short_card(one, clock_of(one), detail) for one in cards[whole + worded["spray"] :]
        ),
        held=held_block(report, detail, worded["held"]),
        walk=walk_block(report.with_call(Call.LOOK), clock_of, detail, worded["walk"]),
        frozen=frozen_block(report.standing("frozen"), worded["frozen"]),
        wait=wait_block(report.with_call(Call.WAIT), clock_of, detail, worded["wait"]),
        sprayed=sprayed_block(
            report.standing("sprayed"), clock_of, detail, run.local_date, worded["sprayed"]
        ),
        picked=picked_block(report.standing("picked")),
        harvest=harvest_words(run.harvest) if detail.figures else "",
        forecast=forecast_words(report, farm, figures=detail.figures),
        first_caution=FIRST_CAUTION,
        full_cards=whole,
        cautions=CAUTIONS,
        stop_line=with_stop(stop_line),
    )


def _worded(report: MorningReport, detail: Detail) -> dict[str, int]:
    """How many fields of each list are told in whole sentences: all of the short lists first."""
    counts = {
        "spray": max(0, len(report.to_act_on()) - FULL_CARDS),
        "unknown": len(report.with_call(Call.UNKNOWN)),
        "held": len(report.held()),
        "walk": len(report.with_call(Call.LOOK)),
        "frozen": len(report.standing("frozen")),
        "wait": min(len(report.with_call(Call.WAIT)), detail.wait_rows or WORDED_ROWS),
        "sprayed": min(len(report.standing("sprayed")), detail.sprayed_rows or WORDED_ROWS),
    }
    left = WORDED_ROWS
    shares: dict[str, int] = {}
    for name in sorted(counts, key=lambda name: counts[name]):
        shares[name] = min(counts[name], left // (len(counts) - len(shares)))
        left -= shares[name]
    return shares


def field_clocks(report: MorningReport) -> ClockOf:
    """The clock of each field's own place."""

    def clock_of(one: FieldCall) -> LocalClock:
        return LocalClock(one.field.time_zone, report.run.time_zone, report.run.local_date)

    return clock_of


def subject(report: MorningReport) -> str:
    """The counts that matter: ``Tue 6 Oct: spray 4, walk 3, 1 not known (Sandhill)``."""
    spray, short, walk, unknown = _counts(report)
    shorts = f" ({short} short)" if short else ""
    parts = [f"spray {spray}{shorts}" if spray else "no spray"]
    if report.held():
        parts.append(f"{len(report.held())} held")
    if walk:
        parts.append(f"walk {walk}")
    if to_look_at(report):
        parts.append(f"look at {to_look_at(report)} after the freeze")
    if unknown:
        parts.append(f"{unknown} not known")
    if not spray and unknown and unknown == len(report.standing("open")):
        parts = [f"no calls, {unknown} not known"]
    if not (spray or walk or unknown or report.held() or to_look_at(report)):
        parts = ["nothing to spray or walk"]
    return plain_line(f"{day(report.run.local_date)}: {', '.join(parts)} ({report.run.farm_name})")


def to_look_at(report: MorningReport) -> int:
    """How many frozen fields are to be looked at today."""
    frozen = (one.after_freeze for one in report.standing("frozen"))
    return sum(one is not None and one.due_today for one in frozen)


def tally(report: MorningReport) -> tuple[Tally, ...]:
    """Every field counted once; rare lists only where they hold a field."""
    spray, short, walk, unknown = _counts(report)
    beside = (
        Tally(len(report.held()), "held for the harvest"),
        Tally(len(report.standing("frozen")), "to look at after a freeze"),
        Tally(len(report.standing("picked")), "picked"),
    )
    return (
        Tally(unknown, "not known"),
        Tally(spray, f"to spray ({short} short)" if short else "to spray"),
        Tally(walk, "to walk"),
        Tally(len(report.with_call(Call.WAIT)), "to wait"),
        Tally(len(report.standing("sprayed")), "sprayed"),
        *(one for one in beside if one.count),
    )


def summary(report: MorningReport, *, own: bool) -> str:
    """All fields accounted for: ``33 fields: 1 not known, 4 to spray (1 short), ...``."""
    if not report.fields:
        return "No fields are registered here."
    said = ", ".join(f"{one.count} {one.words}" for one in tally(report) if one.count)
    return f"{'Your ' if own else ''}{plural(len(report.fields), 'field')}: {said}."


def lead(report: MorningReport, clock: LocalClock) -> tuple[str, ...]:
    """What must be read before anything else, or that the morning is quiet."""
    spray, _, walk, unknown = _counts(report)
    said = []
    if report.run.stop:
        said.append(report.run.stop)
    elif unknown and unknown == len(report.standing("open")):
        marks = {one.forecast.age_mark for one in report.with_call(Call.UNKNOWN)}
        if marks == {"none"}:
            said.append("There is no forecast, so no spray calls today.")
        elif marks.isdisjoint(MAY_CLEAR):
            said.append("There is no fresh forecast, so no spray calls today.")
        else:
            said.append("No field is known well enough for a call today: no spray calls.")
    elif report.fields and not (spray or walk or unknown or report.held() or to_look_at(report)):
        said.append("A quiet morning: no field is due today.")
    elif report.fields and not spray:
        said.append("No field to spray today.")
    if report.run.late:
        said.append(f"Late: made {clock.moment(report.run.made_utc)}.")
    return tuple(said)


def _preheader(report: MorningReport) -> str:
    """The first fields of the order, which a mail list shows after the subject."""
    cards = report.to_act_on()
    names = [f"{one.rank} {plain_line(one.field.name)}" for one in cards[:4]]
    return ", ".join(names) if names else summary(report, own=False)


def _counts(report: MorningReport) -> tuple[int, int, int, int]:
    cards = report.to_act_on()
    return (
        len(cards),
        sum(one.call is Call.SHORT for one in cards),
        len(report.with_call(Call.LOOK)),
        len(report.with_call(Call.UNKNOWN)),
    )


def _spray_title(
    report: MorningReport, cards: tuple[FieldCall, ...], detail: Detail, *, own: bool
) -> str:
    if not cards:
        return ""
    run = report.run
    parts = [plural(len(cards), "field"), f"{amount(sum(one.field.acres for one in cards))} ac"]
    rig_day_h = run.usable_rig_hours_a_day / run.rigs if run.rigs else 0.0
    if detail.figures and rig_day_h > 0:
        days = sum(one.rig_hours for one in cards) / rig_day_h
        parts.append(f"{amount(days)} rig-days")
    line = f"the {'whole ' if own else ''}line is {plural(run.queue_days, 'day')} long"
    return f"SPRAY NEXT ({', '.join(parts)}; {line})"
