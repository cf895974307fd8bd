"""The correction of a morning that was sent: a spray withdrawn, or a freeze that came up. Pure.

Nothing else is corrected: what has become better waits for tomorrow's list.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.words import LocalClock, day, plural, temp
from farm.people import Person
from notify.compose import field_clocks
from notify.digest import Digest
from notify.digest_check import Words, faults_in_small
from notify.gsm7 import gsm7, segments
from notify.morning_rigs import MorningRigs
from notify.plain_mail import plain_html
from notify.privacy import visible_to
from notify.sms import CAUTION, MAX_SEGMENTS
from notify.stops_block import stops_of
from notify.user_text import plain_line, with_stop

#: The kind of these messages in the outbox: one a day for each person.
CORRECTION = "correction"
#: A freeze that comes up within this is worth a message of its own [h]. Fault list, rule 2.9.
FREEZE_WITHIN_H = 48

#: A first freeze this much sooner than it was told is another night's [h]. Judgement.
NIGHT_H = 12

_NOW = {Call.LOOK: "walk it", Call.WAIT: "wait", Call.UNKNOWN: "not known"}


@dataclass(frozen=True)
class Changes:
    """Fields, as they stand now, whose spray call is withdrawn, and where a freeze came up.

    ``stops`` say, by id of the field, which stop of a rig falls away with its spray.
    """

    withdrawn: tuple[FieldCall, ...] = ()
    freezes: tuple[FieldCall, ...] = ()
    stops: Mapping[str, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.withdrawn or self.freezes)


def changes_since(sent: MorningReport, now: MorningReport) -> Changes:
    """What must be told of the fields of ``sent`` as they stand in ``now``."""
    stand = {one.field.id: one for one in now.fields}
    then = [(one, stand[one.field.id]) for one in sent.fields if one.field.id in stand]
    called = {one.field.id for one in sent.to_act_on()}
    return Changes(
        tuple(new for old, new in then if old.field.id in called and _withdrawn(new)),
        tuple(
            new
            for old, new in then
            if new.standing != "picked" and _freezes_soon(new, now) and not _same_night(old, new)
        ),
    )


def write_corrections(
    sent: MorningReport,
    now: MorningReport,
    people: Iterable[Person],
    stop_line: str,
    max_segments: int = MAX_SEGMENTS,
    rigs: MorningRigs | None = None,
) -> tuple[Digest, ...]:
    """A correction for everybody whom a change concerns.

    ``rigs`` have the plan that stands: who drives or sends them is told which stops fall away.
    """
    written = []
    for person in people:
        seen = visible_to(now, person)
        changes = changes_since(visible_to(sent, person), seen)
        if changes:
            changes = replace(changes, stops=stops_of(rigs, person, now))
            written.append(_checked(changes, seen, now, person, stop_line, max_segments))
    return tuple(written)


def _withdrawn(new: FieldCall) -> bool:
    if new.standing in ("sprayed", "picked"):
        return False
    return new.standing == "frozen" or new.call not in (Call.SPRAY, Call.SHORT)


def _freezes_soon(one: FieldCall, report: MorningReport) -> bool:
    first, made = one.freeze.first_utc, report.run.made_utc
    return first is not None and first <= made + timedelta(hours=FREEZE_WITHIN_H)


def _same_night(old: FieldCall, new: FieldCall) -> bool:
    """Whether the freeze of ``new`` was told of in ``old``, or an earlier one."""
    then, first = old.freeze.first_utc, new.freeze.first_utc
    return then is not None and first is not None and then <= first + timedelta(hours=NIGHT_H)


def _checked(
    changes: Changes,
    seen: MorningReport,
    whole: MorningReport,
    person: Person,
    stop_line: str,
    max_segments: int,
) -> Digest:
    try:
        digest = _written(changes, seen, person, stop_line, max_segments)
        words = Words(digest.subject, digest.text, digest.html, digest.sms)
        faults = faults_in_small(words, whole, person, stop_line, max_segments)
    # What withdraws a spray must go out, in whatever words.
    except Exception as error:
        faults = (f"{type(error).__name__}: {error}",)
    return _fixed_text(seen, person, stop_line, faults) if faults else digest


def _written(
    changes: Changes, seen: MorningReport, person: Person, stop_line: str, max_segments: int
) -> Digest:
    run, clock_of = seen.run, field_clocks(seen)
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    blocks = [
        f"This corrects the list of {day(run.local_date)}. Made {clock.moment(run.made_utc)}.",
        *_block("DO NOT SPRAY", [_withdrawal(one, changes.stops) for one in changes.withdrawn]),
        *_block("FREEZE SEEN NOW", [_freeze(one, clock_of(one)) for one in changes.freezes]),
        "All other calls of this morning stand. What has become better waits for tomorrow's list.",
        "The label is the law, and a licensed applicator decides.",
        with_stop(stop_line),
    ]
    return _digest(
        person,
        seen,
        f"Correction {day(run.local_date)}: {_told(changes)} ({plain_line(run.farm_name)})",
        blocks,
        _text_message(changes, seen, max_segments),
    )


def _told(changes: Changes) -> str:
    parts = []
    if changes.withdrawn:
        parts.append(f"do not spray {plural(len(changes.withdrawn), 'field')}")
    if changes.freezes:
        parts.append(f"freeze seen in {plural(len(changes.freezes), 'field')}")
    return ", ".join(parts)


def _block(title: str, lines: list[str]) -> list[str]:
    return (
        ["\n".join([f"{title} ({len(lines)})", *(f"  {line}" for line in lines)])] if lines else []
    )


def _withdrawal(one: FieldCall, stops: Mapping[str, str]) -> str:
    now = "frozen" if one.standing == "frozen" else _NOW.get(one.call, one.call.value)
    why = plain_line(one.reasons[0]) if one.reasons else ""
    said = (f"{plain_line(one.field.name)}: now {now}.", why, stops.get(one.field.id, ""))
    return " ".join(part for part in said if part)


def _freeze(one: FieldCall, clock: LocalClock) -> str:
    assert one.freeze.first_utc is not None
    low = "" if one.freeze.low_f is None else f", down to {temp(one.freeze.low_f)}"
    return f"{plain_line(one.field.name)}: first {clock.moment(one.freeze.first_utc)}{low}"


def _text_message(changes: Changes, seen: MorningReport, max_segments: int) -> str:
    """The fields by name as far as they fit; the counts, the caution and the stop line stay."""
    opening = f"{day(seen.run.local_date)} CORRECTION:"
    lists = (("Do not spray", changes.withdrawn), ("Freeze seen now:", changes.freezes))
    said = ""
    for shown in range(max(len(fields) for _, fields in lists), -1, -1):
        told = [f"{words} {_named(fields, shown)}." for words, fields in lists if fields]
        said = gsm7(" ".join([opening, *told, CAUTION]))
        if segments(said) <= max_segments:
            break
    return said


def _named(fields: tuple[FieldCall, ...], shown: int) -> str:
    if not shown:
        return plural(len(fields), "field")
    names = ", ".join(gsm7(one.field.name)[:24].strip() for one in fields[:shown])
    more = len(fields) - shown
    return f"{names} +{more} more" if more > 0 else names


def _fixed_text(
    seen: MorningReport, person: Person, stop_line: str, faults: tuple[str, ...]
) -> Digest:
    on, farm = day(seen.run.local_date), plain_line(seen.run.farm_name)
    blocks = [
        f"The list of {on} no longer holds: do not spray by it. Go by the fields and the sky "
        "yourself, and ask whoever runs this system.",
        "The label is the law, and a licensed applicator decides.",
        with_stop(stop_line),
    ]
    sms = gsm7(
        f"{on} CORRECTION: this morning's list no longer holds, do not spray by it. {CAUTION}"
    )
    return _digest(person, seen, f"Correction {on}: do not spray ({farm})", blocks, sms, faults)


def _digest(
    person: Person,
    seen: MorningReport,
    subject: str,
    blocks: list[str],
    sms: str,
    faults: tuple[str, ...] = (),
) -> Digest:
    return Digest(
        person=person,
        local_date=seen.run.local_date,
        subject=plain_line(subject),
        text="\n\n".join(blocks) + "\n",
        html=plain_html(subject, blocks),
        sms=sms if person.phone else None,
        kind=CORRECTION,
        faults=faults,
    )
