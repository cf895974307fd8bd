"""``warmspell harvest``: harvest records."""

import click

from scheduler.commands.harvest_list import list_harvests
from scheduler.commands.harvest_log import log


@click.group("harvest", short_help="Harvest records: log, list.")
def command() -> None:
    """Harvest records: what was picked where and when.

    Acres that are sprayed and not picked yet are what the harvest is behind; a field that is
    picked leaves every list.

    \b
    Examples:
      warmspell harvest log "North Draw"
      warmspell harvest list
    """


command.add_command(log)
command.add_command(list_harvests)
