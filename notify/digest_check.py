"""A second look at a finished digest, with code that did not write it."""

import re
from dataclasses import dataclass
from html import unescape

from dispatch.report import MorningReport
from farm.people import Person, Role
from notify.evidence_check import miscounts, missing_evidence
from notify.gsm7 import gsm7, segments
from notify.known_names import names_in
from notify.once_a_morning import once_a_morning
from notify.privacy import mentions, names_of_others
from notify.text_check import misread, visible_words
from notify.user_text import plain_line

#: What an unfilled template or a missing number leaves behind.
_LEFTOVERS = re.compile(
    r"\b(?:nan|NaN|NaT|None|null|Undefined|inf|Traceback)\b|[{}]|object at 0x|%\(", re.ASCII
)


@dataclass(frozen=True)
class Words:
    """A digest's words, as they would go out."""

    subject: str
    text: str
    html: str
    sms: str | None


def faults_in(
    words: Words, report: MorningReport, person: Person, stop_line: str, max_segments: int
) -> tuple[str, ...]:
    """What is wrong with a digest, in plain words; empty where nothing is."""
    mine = _own(report, person)
    faults = [
        *_left_over(words, report),
        *_missing(words, mine, stop_line),
        *miscounts(report),
        *missing_evidence(mine),
        *misread(words.subject, words.text, words.html, words.sms, mine),
    ]
    faults += _form(words, max_segments)
    if person.role is Role.GROWER:
        faults += _told_of_others(words, report, mine, person)
    return tuple(faults)


def _form(words: Words, max_segments: int) -> list[str]:
    faults = []
    if "\n" in words.subject or "\r" in words.subject:
        faults.append("subject: holds a line break")
    if words.sms is not None and segments(words.sms) > max_segments:
        faults.append(f"sms: takes {segments(words.sms)} parts, wanted at most {max_segments}")
    return faults


def faults_in_small(
    words: Words, report: MorningReport, person: Person, stop_line: str, max_segments: int
) -> tuple[str, ...]:
    """What is wrong with a message that holds no list, such as a correction."""
    said = plain_line(words.text)
    needed = {"way to stop": plain_line(stop_line), "caution": "The label is the law"}
    faults = [*_left_over(words, report), *_form(words, max_segments)]
    faults += [f"text: no {what}" for what, line in needed.items() if line not in said]
    if person.role is Role.GROWER:
        faults += _told_of_others(words, report, _own(report, person), person)
    return tuple(faults)


def _left_over(words: Words, report: MorningReport) -> list[str]:
    shown = {"subject": words.subject, "text": words.text, "sms": words.sms or ""}
    shown["html"] = unescape(words.html)
    allowed = _name_words(report)
    return [
        f"{where}: holds {left!r}, a value that was not filled in"
        for where, text in shown.items()
        for left in sorted(set(_LEFTOVERS.findall(text)) - allowed)
    ]


def _missing(words: Words, mine: MorningReport, stop_line: str) -> list[str]:
    needed = {"way to stop": plain_line(stop_line), "caution": "The label is the law"}
    if mine.fields:
        needed["forecast line"] = "Forecast:"
    spoken = {"text": plain_line(words.text), "html": visible_words(words.html)}
    return [
        f"{where}: no {what}"
        for where, said in spoken.items()
        for what, line in needed.items()
        if line not in said
    ]


def _own(report: MorningReport, person: Person) -> MorningReport:
    if person.role is not Role.GROWER:
        return report
    return report.only(frozenset(person.grower_ids))


def _told_of_others(
    words: Words, report: MorningReport, mine: MorningReport, person: Person
) -> list[str]:
    """Names of others that were told.

    Names of one word are left to `notify.privacy`, which looks at the sentences: a field called
    "Sun" would be found in every digest.
    """
    hidden = names_of_others(report, frozenset(person.grower_ids))
    told = frozenset(name for name in hidden if " " in name)
    shown = names_in(mine.fields) | {plain_line(report.run.farm_name), plain_line(person.name)}
    spoken = {"subject": words.subject, "text": words.text, "sms": words.sms or ""}
    spoken["html"] = visible_words(words.html)
    return [
        f"{where}: names another grower or another grower's field"
        for where, text in spoken.items()
        if mentions(text, told, shown - {""})
    ]


@once_a_morning
def _name_words(report: MorningReport) -> set[str]:
    """Words of the names people typed: a field may well be called None."""
    names = {report.run.farm_name}
    for one in report.fields:
        # Addresses of pages hold the ids of fields.
        names |= {
            one.field.id,
            one.field.name,
            one.grower_name,
            one.treatment_name,
            one.maturity.scout,
        }
        if one.follow_up is not None:
            names |= {one.follow_up.treatment_name, one.follow_up.spray.treatment_id}
    both = {plain_line(name) for name in names} | {gsm7(name) for name in names}
    return set(re.findall(r"\w+", " ".join(both)))
