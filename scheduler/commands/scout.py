"""``warmspell scout``: maturity visits."""

import click

from scheduler.commands.scout_add import add
from scheduler.commands.scout_due import due
from scheduler.commands.scout_import import import_visits
from scheduler.commands.scout_list import list_visits


@click.group("scout", short_help="Maturity visits: add, import, list, due.")
def command() -> None:
    """Maturity visits: what was counted in which field, and when.

    Visits are only ever added. A correction is a new visit.

    \b
    Examples:
      warmspell scout add nd1 --nacb 3.2 --open 64 --plants 12 --scout "R. Vale"
      warmspell scout import visits.csv
      warmspell scout list
      warmspell scout due
    """


command.add_command(add)
command.add_command(import_visits)
command.add_command(list_visits)
command.add_command(due)
