"""``warmspell scout``: maturity visits."""

import click

from scheduler.commands.scout_add import add
from scheduler.commands.scout_due import due
from scheduler.commands.scout_import import import_visits
from scheduler.commands.scout_list import list_visits
from scheduler.commands.undo import undo_command


@click.group("scout", short_help="Maturity visits: add, import, list, due, undo.")
def command() -> None:
    """Maturity visits: what was counted in which field, and when.

    Visits are only ever added. A correction is a new visit; a wrong one is taken back.

    \b
    Examples:
      warmspell scout add nd1 --nacb 3.2 --open 64 --plants 12 --scout "R. Vale"
      warmspell scout import visits.csv
      warmspell scout list
      warmspell scout due
      warmspell scout undo 1a2b3c4d --why "wrong field"
    """


command.add_command(add)
command.add_command(import_visits)
command.add_command(list_visits)
command.add_command(due)
command.add_command(undo_command("scout", "visit"))
