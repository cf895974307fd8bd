"""A stop or a consent that somebody enters for a person, and what is kept of everybody."""

import getpass
from datetime import datetime
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from farm.consent import Consent, address_key
from farm.masked_address import masked_address
from farm.people import Person
from scheduler.data_error import DataError
from scheduler.typed_record import refuse_long

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from scheduler.opening import OpenFarm

CHANNELS = ("mail", "sms")
PEOPLE_HEADERS = ("person", "role", "by", "address", "may we", "since", "how", "told by")


def find_person(text: str, people: tuple[Person, ...]) -> Person:
    """The person with an id, or with a name that no other has; letters' case is no matter."""
    asked = text.strip().casefold()
    by_id = [one for one in people if one.id.casefold() == asked]
    found = by_id or [one for one in people if one.name.casefold() == asked]
    if len(found) == 1:
        return found[0]
    if found:
        raise DataError([f'person: got "{text}", a name of several; say one\'s id'])
    ids = ", ".join(one.id for one in people[:12])
    raise DataError([f'person: got "{text}", wanted the id or name of one; there are {ids}'])


def address_of(person: Person, channel: str) -> str:
    """A person's address on a channel; DataError where there is none."""
    address = person.email if channel == "mail" else person.phone
    if not address:
        key = "email" if channel == "mail" else "phone"
        raise DataError([f"person: {person.id} has no {key} in the config, so none to reach"])
    return address


def entered_word(
    word: str, person: Person, channel: str, how: str, told_by: str, now: datetime
) -> Consent:
    """A word told by somebody and entered here; DataError for texts that are too long."""
    who = told_by or _own_name()
    refuse_long("people", Consent, {"how": how, "told_by": who})
    if not how.strip():
        raise DataError(["people: how: got nothing, wanted how it was told, such as by phone"])
    address = address_of(person, channel)
    return Consent.model_validate(
        {
            "uuid": uuid4(),
            "channel": channel,
            "address_key": address_key(channel, address),
            "address_masked": masked_address(address),
            "word": word,
            "told_utc": now,
            "how": how.strip(),
            "told_by": who,
            "person_id": person.id,
        }
    )


def sharing(address: str, channel: str, config: "FarmConfig") -> tuple[str, ...]:
    """Ids of everybody who is reached at an address."""
    key = address_key(channel, address)
    return tuple(
        one.id
        for one in config.settings.people
        if (own := one.email if channel == "mail" else one.phone)
        and address_key(channel, own) == key
    )


def contact_rows(farm: "OpenFarm") -> list[dict[str, Any]]:
    """Every address of every person, and the word that counts for it."""
    sms = farm.config.settings.sms
    needed = sms is None or sms.consent_needed
    rows = []
    for person in farm.config.settings.people:
        for channel in CHANNELS:
            address = person.email if channel == "mail" else person.phone
            if not address:
                continue
            said = farm.stores.consents.standing(channel, address)
            asked_first = channel == "sms" and needed
            rows.append(
                {
                    "person_id": person.id,
                    "role": person.role.value,
                    "channel": channel,
                    "address": masked_address(address),
                    "may_send": said.word == "allow" if said else not asked_first,
                    "word": said.word if said else None,
                    "since": said.told_utc.isoformat() if said else None,
                    "how": said.how if said else "",
                    "told_by": said.told_by if said else "",
                }
            )
    return rows


def table_row(row: dict[str, Any]) -> tuple[str, ...]:
    """One of `contact_rows` under `PEOPLE_HEADERS`."""
    may = why_not(row) or "yes"
    since = str(row["since"] or "")[:10]
    return (
        *(row["person_id"], row["role"], row["channel"], row["address"]),
        *(may, since, row["how"], row["told_by"]),
    )


def why_not(row: dict[str, Any]) -> str:
    """Why nothing may be sent to one of `contact_rows`, "" where it may."""
    if row["word"] == "stop":
        return "stopped"
    return "" if row["may_send"] else "not agreed"


def _own_name() -> str:
    try:
        return getpass.getuser()[:80]
    except (KeyError, OSError):
        return ""
