"""What the links in mails do. To look at one changes nothing; only pressing its button does.

Mail programs and their guards open every link of a mail, so a GET must never act. The pages of
the board call `LinkDesk.show` for a GET and `LinkDesk.act` for a POST; RFC 8058 (one-click
unsubscribe) posts to the same address without asking, and gets 200 and no redirect.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
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
#: How long a spray told by a link can be taken back by one. Fault list: a day.
UNDO = timedelta(hours=24)


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


class TakeSprayBack(Protocol):
    """Takes a spray back: it stays on record, and nothing is concluded from it any more."""

    def __call__(self, of_uuid: UUID, now: datetime, by: str) -> None: ...


@dataclass(frozen=True)
class LinkPage:
    """What to show: a status of HTTP, a title, lines, and the button's word ("" for no button).

    ``undo`` is the token of the link that takes back what was done, "" where nothing can be.
    Nothing of it is HTML: whoever lays it out escapes it.
    """

    status: int
    title: str
    lines: tuple[str, ...] = ()
    button: str = ""
    undo: str = ""


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
    take_back: TakeSprayBack | None = field(default=None, repr=False)

    def show(self, purpose: Purpose, token: str, now: datetime) -> LinkPage:
        """The page that asks. It changes nothing, however often it is opened."""
        try:
            link, person = self._read(purpose, token, now)
            if purpose == "unsubscribe":
                return self._ask_unsubscribe(link, person)
            one = self._own_field(link, person)
            if purpose == "undo":
                return self._ask_undo(link, one)
            done = self._done(link, one)
        except LinkError as fault:
            return refused(fault)
        if done:
            return LinkPage(200, plain_line(one.name), (done,), undo=self._undo(link, one, now))
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
            if purpose == "undo":
                return self._take_back(link, one, now)
            done = self._done(link, one)
            if not done and purpose == "sprayed":
                self._refuse_unlabelled(one)
        except LinkError as fault:
            return refused(fault)
        name = plain_line(one.name)
        if done:
            return LinkPage(200, name, (done,), undo=self._undo(link, one, now))
        if purpose == "look-again":
            asked = LookRequest(
                uuid=_uuid(link), field_id=one.id, asked_utc=now, person_id=link.person_id
            )
            self.looks.add(asked, now)
            return LinkPage(200, name, ("Asked: it will be told to whoever walks the fields.",))
        self.sprays.add(self._spray(link, one, now), now)
        when = now.astimezone(ZoneInfo(one.time_zone))
        told = f"Written down: sprayed {day(when.date())}, {when:%H:%M}."
        return LinkPage(200, name, (told,), undo=self._undo(link, one, now))

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

    def _undo(self, link: Link, one: Field, now: datetime) -> str:
        """The token that takes back what this link wrote down, for a day; else ""."""
        if link.purpose != "sprayed" or self.take_back is None:
            return ""
        for spray in reversed(self.sprays.of_field(one.id)):
            until = spray.sprayed_utc + UNDO
            if spray.note == _note(link) and now < until:
                undo = replace(link, purpose="undo", expires_utc=until, record_id=str(spray.uuid))
                return self.keys.sign(undo)
        return ""

    def _ask_undo(self, link: Link, one: Field) -> LinkPage:
        spray = self._told_spray(link, one)
        if spray is None:
            return _taken_back(one)
        local = spray.sprayed_utc.astimezone(ZoneInfo(one.time_zone))
        said = f"It is written down as sprayed {day(local.date())}, {local:%H:%M}."
        lines = (said, "Taken back, it is in the order again from the next morning on.")
        title = f"{plain_line(one.name)} was not sprayed?"
        return LinkPage(200, title, lines, "No, take it back")

    def _take_back(self, link: Link, one: Field, now: datetime) -> LinkPage:
        spray = self._told_spray(link, one)
        if spray is not None and self.take_back is not None:
            self.take_back(spray.uuid, now, link.person_id)
        return _taken_back(one)

    def _told_spray(self, link: Link, one: Field) -> Spray | None:
        """The spray an undo is for, as long as it stands."""
        if self.take_back is None:
            raise LinkError("Nothing can be taken back here. Tell whoever keeps the records.")
        kept = self.sprays.of_field(one.id)
        return next((spray for spray in kept if str(spray.uuid) == link.record_id), None)

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
            note=_note(link),
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


def _taken_back(one: Field) -> LinkPage:
    return LinkPage(200, plain_line(one.name), ("Taken back: no spray of that link stands.",))


def _note(link: Link) -> str:
    """What a spray's record says of the link it came by; the same for every press of it."""
    return f"told by {link.person_id} with the link in the mail of {link.local_date}"[:500]


def _same(email: str | None, address: str) -> bool:
    return email is not None and address_key(MAIL, email) == address_key(MAIL, address)


def _uuid(link: Link) -> UUID:
    return uuid5(NAMESPACE_URL, f"warmspell:link:{link.name}")
