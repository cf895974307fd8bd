"""Whom this farm may write to: its stops and consents, and each reader's own zone."""

from collections import Counter
from typing import TYPE_CHECKING

from farm.people import Role

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from farm.people import Person
    from notify.may_send import ConsentBook, ContactRules


def contact_rules(config: "FarmConfig", book: "ConsentBook") -> "ContactRules":
    """The rules every message of this farm must keep."""
    from notify.may_send import ContactRules

    zones = {
        person.phone: zone_of(person, config) for person in config.settings.people if person.phone
    }
    sms = config.settings.sms
    if sms is None:
        return ContactRules(book, config.time_zone, zones)
    return ContactRules(
        book, config.time_zone, zones, sms.consent_needed, sms.quiet_from, sms.quiet_until
    )


def zone_of(person: "Person", config: "FarmConfig") -> str:
    """The zone a person lives by: that of most of a grower's own fields, else the farm's."""
    if person.role is not Role.GROWER:
        return config.time_zone
    own = Counter(one.time_zone for one in config.fields if one.grower_id in person.grower_ids)
    return own.most_common(1)[0][0] if own else config.time_zone
