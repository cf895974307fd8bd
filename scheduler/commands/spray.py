"""``warmspell spray``: application records."""

import click

from scheduler.commands.spray_list import list_sprays
from scheduler.commands.spray_log import log
from scheduler.commands.undo import undo_command


@click.group("spray", short_help="Application records: log, list, undo.")
def command() -> None:
    """Application records: what was sprayed where, when and with which rig.

    A sprayed field leaves the order and moves to its follow-up list.

    \b
    Examples:
      warmspell spray log "North Draw" --when 2026-10-06T14:20 --rig hawk
      warmspell spray list
      warmspell spray undo 1a2b3c4d --why "wrong field"
    """


command.add_command(log)
command.add_command(list_sprays)
command.add_command(undo_command("spray", "spray"))
