"""Which digest goes to which address, as messages ready to be kept and sent."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Protocol

from farm.message import PlannedMessage
from farm.people import Person
from notify.digest import Digest
from notify.mail import mail_bytes, message_id
from notify.settings import MailSettings, SmsSettings

#: Names of the channels in the outbox.
MAIL, SMS = "mail", "sms"
#: Stands for the sender in the reference of a text message, which has no domain.
_SMS_SENDER = "sms@text.invalid"

#: Addresses by (person id, channel).
AddressBook = Mapping[tuple[str, str], str]


class ChannelSettings(Protocol):
    """The part of a farm's settings that says which channels there are."""

    @property
    def mail(self) -> MailSettings | None:
        """The mail server, or None: no mails."""
        ...

    @property
    def sms(self) -> SmsSettings | None:
        """The text message gateway, or None: no text messages."""
        ...


def planned_messages(
    digests: Iterable[Digest], settings: ChannelSettings, now: datetime
) -> tuple[PlannedMessage, ...]:
    """A mail for who has an address, a text message for who has a phone, where set up."""
    planned = []
    for digest in digests:
        person = digest.person
        if settings.mail is not None and person.email:
            planned.append(_mail(digest, settings.mail, person.email, now))
        if settings.sms is not None and person.phone and digest.sms:
            planned.append(_text_message(digest, person.phone, digest.sms))
    return tuple(planned)


def address_book(people: Iterable[Person]) -> AddressBook:
    """Everybody's addresses as they are now; the outbox itself keeps none."""
    told = ((one.id, one.email, one.phone) for one in people)
    return {
        (person_id, channel): address
        for person_id, email, phone in told
        for channel, address in ((MAIL, email), (SMS, phone))
        if address
    }


def _mail(digest: Digest, settings: MailSettings, address: str, now: datetime) -> PlannedMessage:
    try:
        body = mail_bytes(digest, settings, now, address)
    except ValueError:
        body = b""
    return _planned(digest, MAIL, address, settings.sender, body)


def _text_message(digest: Digest, phone: str, text: str) -> PlannedMessage:
    return _planned(digest, SMS, phone, _SMS_SENDER, text.encode("utf-8"))


def _planned(
    digest: Digest, channel: str, address: str, sender: str, body: bytes
) -> PlannedMessage:
    who, on = digest.person.id, digest.local_date
    return PlannedMessage(
        person_id=who,
        local_date=on,
        kind=f"{digest.kind}-{channel}",
        revision=digest.revision,
        channel=channel,
        address=address,
        message_id=message_id(who, on, digest.kind, digest.revision, sender),
        subject=digest.subject,
        body=body,
    )
