"""``warmspell scout due``: which fields to walk next, and why."""

import json
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say, talk


@click.command("due", short_help="Which fields to walk next, and why.")
@config_option
@json_option
def due(config_path: Path, as_json: bool) -> int:
    """Fields where a visit would most change what is done, the best first.

    A field that stands still for want of a count loses its turn in the line if it is mature. A
    visit's worth is that loss times the chance that the field is found mature, in points of 100
    and in perfectly sprayed acres; the list is in order of acres. Fields that somebody asked for
    by the link in their mail are told after it, until they are walked.

    \b
    Examples:
      warmspell scout due
      warmspell scout due --config myfarm/farm.toml --json
    """
    from scheduler.asked_looks import ASKED_HEADERS, asked_json, asked_rows, open_requests
    from scheduler.due_visits import DUE_HEADERS, due_json, due_rows
    from scheduler.opening import open_farm
    from scheduler.plans import latest_plan

    with open_farm(config_path) as farm:
        report = latest_plan(farm.stores, config_path)
        asked = open_requests(farm)
        asked_for = asked_rows(asked, farm)
    if as_json:
        say(json.dumps(due_json(report) | {"asked": asked_json(asked)}, indent=2))
        return exit_codes.OK
    from scheduler.tables import show_table

    rows = due_rows(report)
    if rows:
        show_table(DUE_HEADERS, rows)
        talk("points of 100 and acres a visit is expected to gain. Cut bolls away from your hand.")
    else:
        talk("No visit is due: none would change what is done today.")
    if asked_for:
        show_table(ASKED_HEADERS, asked_for, "Asked to be looked at again")
    return exit_codes.OK
