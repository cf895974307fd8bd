"""``warmspell freeze``: freezes, and the looks at what froze."""

import click

from scheduler.commands.freeze_inspected import inspected
from scheduler.commands.freeze_list import list_freezes
from scheduler.commands.freeze_log import log
from scheduler.commands.undo import undo_command


@click.group("freeze", short_help="Freezes and what was found after: log, inspected, list, undo.")
def command() -> None:
    """Freezes that hit fields, and the looks at them after.

    A field that a killing freeze has hit leaves the order until somebody has looked at it: its
    effect shows after some days, and spraying before then may be money lost.

    \b
    Examples:
      warmspell freeze log --all --low-f 27
      warmspell freeze inspected "North Draw" --found killed
      warmspell freeze list
      warmspell freeze undo 1a2b3c4d --why "the station, not the field"
    """


for part in (log, inspected, list_freezes, undo_command("freeze", "freeze", "inspection")):
    command.add_command(part)
