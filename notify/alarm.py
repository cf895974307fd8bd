"""What whoever runs the system is told when people may not have been told. Pure."""

from collections.abc import Iterable, Sequence
from datetime import date

from dispatch.words import day
from farm.people import Person, Role
from notify.digest import Digest
from notify.gsm7 import ALONE_SEPTETS, gsm7, septets
from notify.plain_mail import plain_html
from notify.user_text import plain_line, with_stop

#: Lines told in an alarm; more are counted.
LINES_SHOWN = 30


def write_alarms(
    topic: str,
    lines: Sequence[str],
    farm_name: str,
    local_date: date,
    people: Iterable[Person],
    stop_line: str,
) -> tuple[Digest, ...]:
    """An alarm for every operator, by every channel they have.

    ``topic`` is one word; each topic is told once a day. ``lines`` hold no address. They are told
    by mail; a text message holds the first, cut to one part.
    """
    return tuple(
        _alarm(topic, lines, farm_name, local_date, person, stop_line)
        for person in people
        if person.role is Role.OPERATOR
    )


def _alarm(
    topic: str,
    lines: Sequence[str],
    farm_name: str,
    local_date: date,
    person: Person,
    stop_line: str,
) -> Digest:
    told = [plain_line(line) for line in lines] or ["see the log"]
    more = len(told) - LINES_SHOWN
    subject = plain_line(f"ALARM {day(local_date)}: {told[0][:120]} ({farm_name})")
    blocks = [
        "\n".join(told[:LINES_SHOWN]) + (f"\nand {more} more; see the log" if more > 0 else ""),
        "People may not have been told what they should know this morning: tell them yourself.",
        with_stop(stop_line),
    ]
    return Digest(
        person=person,
        local_date=local_date,
        subject=subject,
        text="\n\n".join(blocks) + "\n",
        html=plain_html(subject, blocks),
        sms=_cut(f"ALARM {day(local_date)}: {told[0]}") if person.phone else None,
        kind=f"alarm-{topic}",
    )


def _cut(text: str) -> str:
    line = gsm7(text)
    while septets(line) > ALONE_SEPTETS:
        line = line[:-1]
    return line
