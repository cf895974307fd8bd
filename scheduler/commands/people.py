"""``warmspell people``: who may be written to, and what they said about it."""

import click

from scheduler.commands.people_list import list_people
from scheduler.commands.people_word import allow, stop


@click.group("people", short_help="Who may be written to: list, stop, allow.")
def command() -> None:
    """Stops and consents. A stop holds from the moment it is entered.

    A person who answers a text with STOP is stopped by that; enter here what was told otherwise.

    \b
    Examples:
      warmspell people list
      warmspell people stop ada --by sms --how "told by phone"
      warmspell people allow ada --by sms --how "signed form of 3 Oct"
    """


for part in (list_people, stop, allow):
    command.add_command(part)
