"""``warmspell people list``: every address, and whether it may be written to."""

import json
from datetime import timedelta
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say, talk

#: How far back texts that did not arrive are told.
LOOK_BACK = timedelta(days=7)


@click.command("list", short_help="Every address, and whether it may be written to.")
@config_option
@json_option
def list_people(config_path: Path, as_json: bool) -> int:
    """Everybody's addresses, masked, with the last word said on each and how it was told.

    \b
    Examples:
      warmspell people list
      warmspell people list --json
    """
    from scheduler.contact_record import PEOPLE_HEADERS, contact_rows, table_row
    from scheduler.opening import open_farm
    from scheduler.tables import show_table

    with open_farm(config_path) as farm:
        rows = contact_rows(farm)
        lost = farm.stores.delivery_reports.undelivered(farm.now - LOOK_BACK)
    if as_json:
        say(json.dumps({"people": rows}, indent=2))
    else:
        show_table(PEOPLE_HEADERS, [table_row(row) for row in rows])
    for report in lost:
        talk(f"text {report.provider_id} did not arrive: the gateway says {report.words}")
    return exit_codes.OK
