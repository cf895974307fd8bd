"""Rules that tie one part of the configuration to another, checked on the tables as read.

They run on raw tables so that one misspelt number elsewhere does not hide them.
"""

from collections.abc import Callable, Iterator

from config.addresses import one_mail_address
from config.key_lines import KeyLines
from config.key_path import Path, value_at
from config.masked import shown
from config.nearest import did_you_mean, listed, plain
from farm.people import Role
from notify.phone_number import phone_number

LISTS = ("growers", "people", "rigs", "treatments")

Fault = tuple[Path, str]


def entries(raw: dict[str, object], name: str) -> list[dict[str, object]]:
    """The tables of the list ``name``; what is no table counts as an empty one."""
    found = raw.get(name)
    return (
        [one if isinstance(one, dict) else {} for one in found] if isinstance(found, list) else []
    )


def ids_of(raw: dict[str, object], name: str) -> list[str]:
    """The ids in the list ``name`` that are text."""
    return [one for entry in entries(raw, name) if isinstance(one := entry.get("id"), str)]


def cross_faults(raw: dict[str, object], lines: KeyLines) -> Iterator[Fault]:
    """Every fault between entries of the configuration."""
    for name in LISTS:
        yield from _same_ids(raw, name, lines)
        yield from _unprintable(raw, name)
    growers = ids_of(raw, "growers")
    for place, person in enumerate(entries(raw, "people")):
        yield from _person_faults(("people", place), person, growers)
    contact = value_at(raw, ("forecast", "contact"))
    if isinstance(contact, str) and not (contact.isascii() and contact.isprintable()):
        words = (
            f"got {shown(contact)}, wanted plain letters on one line; it goes into a web request"
        )
        yield ("forecast", "contact"), words
    mail = raw.get("mail")
    if isinstance(mail, dict):
        for key in ("sender", "reply_to"):
            yield from _address_fault(("mail", key), mail.get(key), one_mail_address)


def _same_ids(raw: dict[str, object], name: str, lines: KeyLines) -> Iterator[Fault]:
    first_with: dict[str, int] = {}
    for place, entry in enumerate(entries(raw, name)):
        one = entry.get("id")
        if not isinstance(one, str):
            continue
        first = first_with.setdefault(plain(one), place)
        if first != place:
            other = lines.line((name, first, "id"))
            yield (
                (name, place, "id"),
                f"got {shown(one)}, wanted an id of its own; {name}[{first}] on line {other} "
                "has it too: rename one (capitals and spaces do not tell them apart)",
            )


def _unprintable(raw: dict[str, object], name: str) -> Iterator[Fault]:
    for place, entry in enumerate(entries(raw, name)):
        for key in ("id", "name"):
            one = entry.get(key)
            if isinstance(one, str) and not (one.isprintable() and (one.strip() or not one)):
                yield (
                    (name, place, key),
                    f"got {shown(one)}, wanted text on one line; delete the hidden signs",
                )


def _person_faults(path: Path, person: dict[str, object], growers: list[str]) -> Iterator[Fault]:
    given = person.get("grower_ids", [])
    grower_ids = given if isinstance(given, list) else []
    for place, one in enumerate(grower_ids):
        if isinstance(one, str) and one not in growers:
            near = did_you_mean(one, growers) or "add the grower or correct the id"
            yield (
                (*path, "grower_ids", place),
                f"got {shown(one)}, wanted the id of a grower, such as {listed(growers)}; {near}",
            )
    if person.get("role") == Role.GROWER and not grower_ids:
        yield (
            (*path, "grower_ids"),
            "got none, wanted at least one grower id; a grower is shown only the fields of these",
        )
    if not person.get("email") and not person.get("phone"):
        yield path, "got neither email nor phone, wanted at least one; add it or delete the person"
    yield from _address_fault((*path, "email"), person.get("email"), one_mail_address)
    yield from _address_fault((*path, "phone"), person.get("phone"), phone_number)


def _address_fault(path: Path, value: object, check: Callable[[str], str]) -> Iterator[Fault]:
    if not isinstance(value, str):
        return
    try:
        check(value)
    except ValueError as error:
        yield path, f"got {shown(value, path)}, {error}"


def unreachable(raw: dict[str, object]) -> Iterator[Fault]:
    """People whose address is of no use because the channel to it is not set up.

    A recorded farm writes its messages to files and needs no channel.
    """
    if "replay" in raw:
        return
    for place, person in enumerate(entries(raw, "people")):
        for key, channel in (("email", "mail"), ("phone", "sms")):
            if person.get(key) and channel not in raw:
                yield (
                    ("people", place, key),
                    f"got an address, but there is no [{channel}] to reach it; nothing is sent "
                    "there until it is set up",
                )


def unknown_field_rules(raw: dict[str, object], field_ids: list[str]) -> Iterator[Fault]:
    """Tables under ``field_rules`` for fields that do not exist."""
    rules = raw.get("field_rules")
    for one in rules if isinstance(rules, dict) else ():
        if one not in field_ids:
            near = did_you_mean(one, field_ids) or "correct the id or delete the table"
            yield ("field_rules", one), f"got {shown(one)}, wanted the id of a field; {near}"
