"""``warmspell harvest``: harvest records."""

import click

from scheduler.commands.harvest_list import list_harvests
from scheduler.commands.harvest_log import log
from scheduler.commands.undo import undo_command


@click.group("harvest", short_help="Harvest records: log, list, undo.")
def command() -> None:
    """Harvest records: what was picked where and when.

    Acres that are sprayed and not picked yet are what the harvest is behind; a field that is
    picked leaves every list.

    \b
    Examples:
      warmspell harvest log "North Draw"
      warmspell harvest list
      warmspell harvest undo 1a2b3c4d --why "wrong field"
    """


command.add_command(log)
command.add_command(list_harvests)
command.add_command(undo_command("harvest", "harvest"))
