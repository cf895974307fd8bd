"""Answers to text messages and reports on them, as a gateway posts them to us.

What the pages of the board call with a request's form or JSON; nothing here listens by itself.
"""

import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from pydantic import SecretStr

from farm.consent import Consent, address_key
from farm.masked_address import masked_address
from farm.people import Person
from notify.at_path import at_path
from notify.gsm7 import gsm7
from notify.may_send import SMS, ConsentLedger
from notify.phone_number import phone_number
from notify.settings import SmsSettings
from notify.stop_words import wish_of

#: Longest name of a message taken from outside; the column holds as many.
ID_LENGTH = 200


@dataclass(frozen=True)
class Answered:
    """What to answer the gateway: a status of HTTP, and a text to the sender ("" for none).

    ``note`` is a line for the log, addresses masked; ``alarm`` says that a person must read it.
    """

    status: int
    reply: str = ""
    note: str = ""
    alarm: bool = False


def trusted(given: str | None, wanted: SecretStr | None) -> bool:
    """Whether a request brings the shared secret; never where none was set up."""
    if wanted is None or not wanted.get_secret_value() or given is None:
        return False
    return hmac.compare_digest(given.encode(), wanted.get_secret_value().encode())


@dataclass(frozen=True)
class TextAnswers:
    """Takes answers for one farm. ``contact`` is whom HELP names, ``farm_name`` who we are."""

    settings: SmsSettings
    people: tuple[Person, ...]
    farm_name: str
    contact: str
    ledger: ConsentLedger

    def take(
        self, told: Mapping[str, Any], given: str | None, wanted: SecretStr | None, now: datetime
    ) -> Answered:
        """Take one answer: STOP, START and HELP are done here, the rest is left to people.

        Parameters
        ----------
        told
            The request's form or JSON.
        given, wanted
            The secret the request brought and the one agreed on with the gateway.
        now
            The moment, aware.

        Raises
        ------
        Exception
            What the ledger raises: the gateway must be answered with an error then, so that it
            asks again, for a stop that was not kept is no stop.
        """
        if not trusted(given, wanted):
            return Answered(403, note="an answer to a text without the agreed secret was refused")
        try:
            sender = phone_number(str(at_path(told, self.settings.answer_from) or ""))
        except ValueError:
            return Answered(400, note="an answer to a text came without a number that can be")
        text = str(at_path(told, self.settings.answer_text) or "")
        whom, wish = masked_address(sender), wish_of(text)
        if wish == "stop":
            return self._heard("stop", sender, told, now)
        if wish == "start":
            return self._heard("allow", sender, told, now)
        if wish == "help":
            return Answered(200, self._help(), f"{whom} asked for help")
        if wish == "unclear":
            note = f"{whom} answered with a word that may mean stop; read it and ask them"
            return Answered(200, "To end these texts reply STOP alone.", note, alarm=True)
        return Answered(200, note=f"{whom} answered a text; read it at the gateway", alarm=True)

    def _heard(self, word: str, sender: str, told: Mapping[str, Any], now: datetime) -> Answered:
        before = self.ledger.standing(SMS, sender)
        owners = [person.id for person in self.people if _same(person.phone, sender)]
        consent = Consent.model_validate(
            {
                "uuid": uuid5(NAMESPACE_URL, f"warmspell:answer:{self._name(told, sender, now)}"),
                "channel": SMS,
                "address_key": address_key(SMS, sender),
                "address_masked": masked_address(sender),
                "word": word,
                "told_utc": now,
                "how": "answered a text message",
                "person_id": owners[0] if len(owners) == 1 else "",
            }
        )
        new = self.ledger.add(consent, owners)
        same = not new or (before is not None and before.word == word)
        note = f"{masked_address(sender)} said {'stop' if word == 'stop' else 'start'} by text"
        if same or (word == "stop" and not owners and before is None):
            # One confirmation and no more, and none to who never was on a list.
            return Answered(200, note=f"{note}; nothing changed" if same else note)
        return Answered(200, self._done(word), note)

    def _done(self, word: str) -> str:
        farm = gsm7(self.farm_name)[:40]
        if word == "stop":
            return f"{farm}: you get no more texts from us. Reply START to get them again."
        return f"{farm}: you get our texts again. Reply STOP to end them, HELP for help."

    def _help(self) -> str:
        farm, contact = gsm7(self.farm_name)[:40], gsm7(self.contact)[:60]
        return f"{farm}: spray digest. Help: {contact}. Reply STOP to end texts."

    def _name(self, told: Mapping[str, Any], sender: str, now: datetime) -> str:
        """The gateway's own name for the answer, so that one sent twice is one."""
        own = at_path(told, self.settings.answer_id)
        return f"id:{str(own)[:ID_LENGTH]}" if own else f"at:{sender}:{now.isoformat()}"


def _same(phone: str | None, sender: str) -> bool:
    try:
        return phone is not None and phone_number(phone) == sender
    except ValueError:
        return False
