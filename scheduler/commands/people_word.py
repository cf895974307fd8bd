"""``warmspell people stop`` and ``allow``: a word told by a person, entered for them."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say

_by = click.option(
    "--by",
    "channel",
    type=click.Choice(["mail", "sms"]),
    required=True,
    help="What it is about: mails or text messages.",
)
_how = click.option(
    "--how", required=True, metavar="TEXT", help='How they told it, such as "by phone".'
)
_told_by = click.option(
    "--told-by", default="", metavar="NAME", help="Who enters it; your login if left out."
)


@click.command("stop", short_help="Write no more to a person.")
@click.argument("person")
@_by
@_how
@_told_by
@config_option
def stop(person: str, channel: str, how: str, told_by: str, config_path: Path) -> int:
    """Write no more to PERSON (id or name); what waits to be sent to them is not sent.

    \b
    Example:
      warmspell people stop ada --by sms --how "told by phone"
    """
    return _enter("stop", person, channel, how, told_by, config_path)


@click.command("allow", short_help="A person agrees to be written to.")
@click.argument("person")
@_by
@_how
@_told_by
@click.option("--again", is_flag=True, help="They had stopped it and asked for it again.")
@config_option
def allow(person: str, channel: str, how: str, told_by: str, again: bool, config_path: Path) -> int:
    """Keep that PERSON agreed to mails or texts. Over a stop it needs --again.

    \b
    Examples:
      warmspell people allow ada --by sms --how "signed form of 3 Oct"
      warmspell people allow ada --by sms --how "stop was a mistake, by phone" --again
    """
    return _enter("allow", person, channel, how, told_by, config_path, again=again)


def _enter(
    word: str,
    asked: str,
    channel: str,
    how: str,
    told_by: str,
    config_path: Path,
    *,
    again: bool = True,
) -> int:
    from scheduler.contact_record import address_of, entered_word, find_person, sharing
    from scheduler.data_error import DataError
    from scheduler.opening import open_farm

    with open_farm(config_path) as farm:
        person = find_person(asked, farm.config.settings.people)
        consent = entered_word(word, person, channel, how, told_by, farm.now)
        address = address_of(person, channel)
        before = farm.stores.consents.standing(channel, address)
        if word == "allow" and before is not None and before.word == "stop" and not again:
            raise DataError(
                [
                    f"people: {person.id} stopped {channel} on {before.told_utc:%Y-%m-%d} "
                    f"({before.how}); add --again only if they asked for it again"
                ]
            )
        others = sharing(address, channel, farm.config)
        farm.stores.consents.add(consent, others)
    too = ", ".join(one for one in others if one != person.id)
    done = "stopped" if word == "stop" else "allowed"
    say(f"{channel} to {person.id} ({consent.address_masked}) {done}{f', and {too}' * bool(too)}.")
    return exit_codes.OK
