"""Whether the finished words tell the morning they were made from: read back, not trusted."""

import re
from html import unescape

from dispatch.report import Call, FieldCall, MorningReport
from notify.gsm7 import gsm7
from notify.user_text import plain_line

_TAGS = re.compile(r"<style.*?</style>|<[^>]*>", re.DOTALL)
#: The account of every field, such as "30 fields: 4 not known, 9 to spray (1 short), 17 to wait."
_ACCOUNT = re.compile(r"(\d+) fields?: ([^.]*)\.")
_LISTS = re.compile(
    r"(\d+) (?:not known|to spray|to walk|to wait|sprayed|held for the harvest|"
    r"to look at after a freeze|picked)\b"
)
#: How many are to be sprayed, as the subject and the text message tell it.
_SPRAY_IN_SUBJECT, _SPRAY_IN_SMS = re.compile(r"\A[^:]*: spray (\d+)"), re.compile(r"\bSpray (\d+)")
#: The line a field to spray begins with: its place, two spaces, its name.
_PLACED = re.compile(r"^ {1,3}(\d+)  (\S.*)$")
#: Letters of a name looked for where a line may have been wrapped.
_NAME_LETTERS = 40


def misread(subject: str, text: str, html: str, sms: str | None, mine: MorningReport) -> list[str]:
    """What the words tell otherwise than the morning does."""
    if not mine.fields:
        return []
    return [
        *_counted("subject", subject, _SPRAY_IN_SUBJECT, mine),
        *_accounted(plain_line(text), mine),
        *_spray_block(text, mine),
        *_unknown_first(text, mine),
        *_named("html", visible_words(html), mine),
        *_named("text", plain_line(text), mine),
        *([] if sms is None else _in_short(sms, mine)),
    ]


def visible_words(html: str) -> str:
    """What a reader of the mail sees, on one line."""
    return plain_line(unescape(_TAGS.sub(" ", html)))


def _counted(where: str, line: str, spray_told: re.Pattern[str], mine: MorningReport) -> list[str]:
    """Whether a line tells how many are to be sprayed and how many are not known."""
    spray, unknown = len(mine.to_act_on()), len(mine.with_call(Call.UNKNOWN))
    told = spray_told.search(line)
    faults = []
    if (int(told[1]) if told else 0) != spray:
        faults.append(f"{where}: does not say that {spray} are to be sprayed")
    if unknown and f"{unknown} not known" not in line:
        faults.append(f"{where}: does not say that {unknown} are not known")
    return faults


def _accounted(line: str, mine: MorningReport) -> list[str]:
    """Some account in the words must add up to every field."""
    for total, lists in _ACCOUNT.findall(line):
        counts = [int(count) for count in _LISTS.findall(lists)]
        if int(total) == len(mine.fields) == sum(counts):
            return []
    return [f"text: no account that adds up to {len(mine.fields)} fields"]


def _spray_block(text: str, mine: MorningReport) -> list[str]:
    """The fields under the heading are those to spray, all of them, in their order."""
    lines = text.splitlines()
    starts = [n for n, line in enumerate(lines) if line.startswith("SPRAY NEXT (")]
    listed: list[tuple[int, str]] = []
    for line in lines[starts[0] + 1 :] if starts else ():
        if not line.strip():
            break
        found = _PLACED.match(line)
        if found:
            listed.append((int(found[1]), found[2]))
    wanted = mine.to_act_on()
    places = [place for place, _ in listed]
    if places != sorted(set(places)):
        return ["text: the places of the fields to spray do not rise"]
    if len(listed) != len(wanted):
        return [f"text: {len(listed)} fields to spray listed, wanted {len(wanted)}"]
    return [
        f"text: {place} in the order is not the field it should be"
        for (place, told), one in zip(listed, wanted, strict=True)
        if not told.startswith(_name(one)[:_NAME_LETTERS])
    ]


def _unknown_first(text: str, mine: MorningReport) -> list[str]:
    if not mine.with_call(Call.UNKNOWN):
        return []
    unknown, spray = text.find("\nNOT KNOWN ("), text.find("\nSPRAY NEXT (")
    if unknown < 0:
        return ["text: the fields not known have no list"]
    return ["text: the fields not known do not stand first"] if 0 <= spray < unknown else []


def _named(where: str, line: str, mine: MorningReport) -> list[str]:
    told = (*mine.with_call(Call.UNKNOWN, Call.LOOK), *mine.to_act_on(), *mine.held())
    missing = [one for one in told if _name(one)[:_NAME_LETTERS] not in line]
    return [f"{where}: {len(missing)} fields are not named"] if missing else []


def _in_short(sms: str, mine: MorningReport) -> list[str]:
    faults = _counted("sms", sms, _SPRAY_IN_SMS, mine)
    if gsm7(sms) != sms:
        faults.append("sms: holds letters that cost more than one place")
    faults += [f"sms: no {what}" for what in ("STOP", "Label is law") if what not in sms]
    return faults


def _name(one: FieldCall) -> str:
    return plain_line(one.field.name) or "field without a name"
