"""What the links in mails do. To look at one changes nothing; only pressing its button does.

Mail programs and their guards open every link of a mail, so a GET must never act. The pages of
the board call `LinkDesk.show` for a GET and `LinkDesk.act` for a POST; RFC 8058 (one-click
unsubscribe) posts to the same address without asking, and gets 200 and no redirect.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Protocol
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from dispatch.words import day
from farm.consent import Consent, address_key
from farm.field import Field
from farm.look_request import LookRequest
from farm.masked_address import masked_address
from farm.people import Person, Role
from farm.records import Spray
from farm.treatment import Treatment
from notify.links import Link, LinkError, LinkKeys, Purpose
from notify.may_send import ConsentLedger
from notify.user_text import plain_line

MAIL: Final = "mail"


class Sprays(Protocol):
    """The application records."""

    def add(self, spray: Spray, now: datetime) -> bool:
        """Add one; False if it was known already."""
        ...

    def of_field(self, field_id: str) -> tuple[Spray, ...]:
        """A field's records in the order they happened."""
        ...


class LookRequests(Protocol):
    """Wishes to have a field looked at again."""

    def add(self, request: LookRequest, now: datetime) -> bool:
        """Add one; False if it was known already."""
        ...

    def of_field(self, field_id: str) -> tuple[LookRequest, ...]:
        """A field's requests in the order they were made."""
        ...


@dataclass(frozen=True)
class LinkPage:
    """What to show: a status of HTTP, a title, lines, and the button's word ("" for no button).

    Nothing of it is HTML: whoever lays it out escapes it.
    """

    status: int
    title: str
    lines: tuple[str, ...] = ()
    button: str = ""


@dataclass(frozen=True)
class LinkDesk:
    """Reads links and does what they say, for one farm."""

    keys: LinkKeys
    people: tuple[Person, ...]
    fields: Mapping[str, Field]
    treatments: tuple[Treatment, ...]
    sprays: Sprays = field(repr=False)
    looks: LookRequests = field(repr=False)
    consents: ConsentLedger = field(repr=False)

    def show(self, purpose: Purpose, token: str, now: datetime) -> LinkPage:
        """The page that asks. It changes nothing, however often it is opened."""
        try:
            link, person = self._read(purpose, token, now)
            if purpose == "unsubscribe":
                return self._ask_unsubscribe(link, person)
            one = self._own_field(link, person)
            done = self._done(link, one)
        except LinkError as fault:
            return refused(fault)
        if done:
            return LinkPage(200, plain_line(one.name), (done,))
        if purpose == "look-again":
            words = "Whoever walks the fields will see that you asked."
            return LinkPage(200, f"Look at {plain_line(one.name)} again?", (words,), "Ask for it")
        lines = (
            f"It leaves the order, and {self._mix(one)} is written down as sprayed now.",
            "Another mix, another time, or only a part of it? Then tell whoever keeps the records.",
        )
        return LinkPage(200, f"{plain_line(one.name)} was sprayed?", lines, "Yes, it was sprayed")

    def act(self, purpose: Purpose, token: str, now: datetime) -> LinkPage:
        """Do what the link says, once: pressed again, it says so and changes nothing.

        Raises
        ------
        Exception
            What the stores raise: then nothing was kept, and the reader must be told to try again.
        """
        try:
            link, person = self._read(purpose, token, now)
            if purpose == "unsubscribe":
                return self._unsubscribe(link, person, now)
            one = self._own_field(link, person)
            done = self._done(link, one)
            if not done and purpose == "sprayed":
                self._refuse_unlabelled(one)
        except LinkError as fault:
            return refused(fault)
        name = plain_line(one.name)
        if done:
            return LinkPage(200, name, (done,))
        if purpose == "look-again":
            asked = LookRequest(
                uuid=_uuid(link), field_id=one.id, asked_utc=now, person_id=link.person_id
            )
            self.looks.add(asked, now)
            return LinkPage(200, name, ("Asked: it will be told to whoever walks the fields.",))
        self.sprays.add(self._spray(link, one, now), now)
        when = now.astimezone(ZoneInfo(one.time_zone))
        return LinkPage(200, name, (f"Written down: sprayed {day(when.date())}, {when:%H:%M}.",))

    def _read(self, purpose: Purpose, token: str, now: datetime) -> tuple[Link, Person | None]:
        link = self.keys.read(token, purpose, now)
        return link, next((one for one in self.people if one.id == link.person_id), None)

    def _own_field(self, link: Link, person: Person | None) -> Field:
        """The field of a link, as long as its reader may still see it."""
        one = self.fields.get(link.field_id)
        gone = LinkError("This field is not on your list any more.")
        if person is None or one is None:
            raise gone
        if person.role is Role.GROWER and one.grower_id not in person.grower_ids:
            raise gone
        return one

    def _done(self, link: Link, one: Field) -> str:
        """What to say where there is nothing left to do; "" where there is."""
        zone = ZoneInfo(one.time_zone)
        if link.purpose == "look-again":
            known = {request.uuid for request in self.looks.of_field(one.id)}
            return "You have asked for this already." if _uuid(link) in known else ""
        for spray in reversed(self.sprays.of_field(one.id)):
            local = spray.sprayed_utc.astimezone(zone)
            if local.date().isoformat() >= link.local_date:
                return f"It is written down already: sprayed {day(local.date())}, {local:%H:%M}."
        return ""

    def _mix(self, one: Field) -> str:
        names = {mix.id: mix.name for mix in self.treatments}
        return plain_line(names.get(one.treatment_id, one.treatment_id))

    def _refuse_unlabelled(self, one: Field) -> None:
        """Without the label's numbers nobody could be told when the field may be entered."""
        mix = next((mix for mix in self.treatments if mix.id == one.treatment_id), None)
        if mix is None or mix.reentry_h is None or mix.preharvest_days is None:
            raise LinkError(
                "Not written down: the re-entry time and the days before harvest of this mix are "
                "not entered. Tell whoever keeps the records."
            )

    def _spray(self, link: Link, one: Field, now: datetime) -> Spray:
        return Spray(
            uuid=_uuid(link),
            field_id=one.id,
            sprayed_utc=now,
            treatment_id=one.treatment_id,
            note=f"told by {link.person_id} with the link in the mail of {link.local_date}"[:500],
        )

    def _address(self, link: Link, person: Person | None) -> str:
        """The address a link would stop, or "" where mails no longer go there."""
        address = person.email if person is not None else None
        if not address or not address_key(MAIL, address).startswith(link.address_key):
            return ""
        said = self.consents.standing(MAIL, address)
        return "" if said is not None and said.word == "stop" else address

    def _ask_unsubscribe(self, link: Link, person: Person | None) -> LinkPage:
        if not self._address(link, person):
            return _ENDED
        return LinkPage(200, "End these mails?", ("You get no more of them.",), "End the mails")

    def _unsubscribe(self, link: Link, person: Person | None, now: datetime) -> LinkPage:
        address = self._address(link, person)
        if not address:
            return _ENDED
        consent = Consent(
            # A new one each time: who asked for mails again may end them again by the same link.
            uuid=uuid5(_uuid(link), now.isoformat()),
            channel=MAIL,
            address_key=address_key(MAIL, address),
            address_masked=masked_address(address),
            word="stop",
            told_utc=now,
            how="link in a mail",
            person_id=link.person_id,
        )
        self.consents.add(consent, [one.id for one in self.people if _same(one.email, address)])
        return _ENDED


_ENDED = LinkPage(200, "Mails ended", ("You get no more of these mails at this address.",))


def refused(fault: LinkError) -> LinkPage:
    """The page of a link that does nothing."""
    return LinkPage(410 if fault.expired else 404, "Nothing was changed", (str(fault),))


def _same(email: str | None, address: str) -> bool:
    return email is not None and address_key(MAIL, email) == address_key(MAIL, address)


def _uuid(link: Link) -> UUID:
    return uuid5(NAMESPACE_URL, f"warmspell:link:{link.name}")
