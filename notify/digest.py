"""The digest: one person's morning as subject, text, HTML mail and text message. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from dispatch.report import MorningReport
from dispatch.words import LocalClock
from farm.people import Person
from notify.compose import compose
from notify.digest_check import Words, faults_in
from notify.fault_notice import notice_parts
from notify.link_lines import LinkMaker, with_links
from notify.morning_rigs import MorningRigs
from notify.privacy import visible_to
from notify.render import as_html, as_text
from notify.sms import MAX_SEGMENTS, sms_text
from notify.stops_block import stops_block
from notify.stops_check import stop_faults

#: What stands where stops would, when they did not pass their check.
NOT_SHOWN = "Not shown, for it did not pass its check; run warmspell routes"


@dataclass(frozen=True)
class Digest:
    """What one person is told on one date.

    ``sms`` is None for a person without a phone. ``faults`` is empty unless the digest could not
    be written or did not pass its check; then the digest is a short notice that says so and
    holds no call. ``stop_url`` ends the person's mails when it is posted to; "" where there are
    no links. ``stop_faults`` say why the stops of the rigs were left out of it.
    """

    person: Person
    local_date: date
    subject: str
    text: str
    html: str
    sms: str | None
    kind: str = "morning"
    revision: int = 0
    faults: tuple[str, ...] = ()
    stop_url: str = ""
    stop_faults: tuple[str, ...] = ()


def write_digest(
    report: MorningReport,
    person: Person,
    stop_line: str,
    max_segments: int = MAX_SEGMENTS,
    links: LinkMaker | None = None,
    rigs: MorningRigs | None = None,
) -> Digest:
    """One person's digest, cut to what their role may see; with links where they are set up, and
    with the stops of the rigs that they drive or send.
    """
    seen, run = visible_to(report, person), report.run
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    page = replace(compose(seen, person, stop_line), stops=stops_block(rigs, person, clock))
    if links is not None:
        page = with_links(page, seen, person, links)
    return Digest(
        person=person,
        local_date=page.local_date,
        subject=page.subject,
        text=as_text(page),
        html=as_html(page),
        sms=sms_text(report, person, max_segments) if person.phone else None,
        stop_url=page.stop_link.url if page.stop_link else "",
    )


def write_digests(
    report: MorningReport,
    people: Iterable[Person],
    stop_line: str,
    max_segments: int = MAX_SEGMENTS,
    links: LinkMaker | None = None,
    rigs: MorningRigs | None = None,
) -> tuple[Digest, ...]:
    """A checked digest for everybody; who cannot be given one gets a notice that says so.

    Stops that do not pass their check are left out of a digest that does.
    """
    return tuple(_checked(report, one, stop_line, max_segments, links, rigs) for one in people)


def _checked(
    report: MorningReport,
    person: Person,
    stop_line: str,
    max_segments: int,
    links: LinkMaker | None,
    rigs: MorningRigs | None,
) -> Digest:
    try:
        digest = write_digest(report, person, stop_line, max_segments, links, rigs)
        words = Words(digest.subject, digest.text, digest.html, digest.sms)
        faults = faults_in(words, report, person, stop_line, max_segments)
        faults = (*faults, *stop_faults(digest.text, digest.html, person, report, rigs))
    # One morning that cannot be written must not silence the others.
    except Exception as error:
        faults = (f"{type(error).__name__}: {error}",)
    if not faults:
        return digest
    if rigs is not None:
        told = rigs.without_plan(NOT_SHOWN) if rigs.plan else None
        good = _checked(report, person, stop_line, max_segments, links, told)
        return good if good.faults else replace(good, stop_faults=faults)
    return _notice(report, person, stop_line, faults)


def _notice(
    report: MorningReport, person: Person, stop_line: str, faults: tuple[str, ...]
) -> Digest:
    subject, text, html, sms = notice_parts(report, stop_line)
    digest = Digest(person, report.run.local_date, subject, text, html, sms, faults=faults)
    return digest if person.phone else replace(digest, sms=None)
