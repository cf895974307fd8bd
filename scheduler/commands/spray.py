"""``warmspell spray``: application records."""

import click

from scheduler.commands.spray_list import list_sprays
from scheduler.commands.spray_log import log


@click.group("spray", short_help="Application records: log, list.")
def command() -> None:
    """Application records: what was sprayed where, when and with which rig.

    A sprayed field leaves the order and moves to its follow-up list.

    \b
    Examples:
      warmspell spray log "North Draw" --when 2026-10-06T14:20 --rig hawk
      warmspell spray list
    """


command.add_command(log)
command.add_command(list_sprays)
