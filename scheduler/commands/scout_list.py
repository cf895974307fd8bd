"""``warmspell scout list``: the visits kept."""

import json
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, csv_option, json_option, one_form
from scheduler.speaking import say


@click.command("list", short_help="The visits kept.")
@click.argument("field", required=False)
@click.option("--all", "every", is_flag=True, help="Every visit, not only each field's last.")
@config_option
@json_option
@csv_option
def list_visits(
    field: str | None, every: bool, config_path: Path, as_json: bool, as_csv: bool
) -> int:
    """The last visit to every field, or all visits to FIELD, newest first.

    \b
    Examples:
      warmspell scout list
      warmspell scout list "North Draw"
      warmspell scout list --all --csv > visits.csv
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.visit_list import VISIT_HEADERS, never_visited, visit_rows, visits_csv

    one_form(as_json, as_csv)
    with open_farm(config_path) as farm:
        fields = farm.fields_by_id
        if field is not None:
            visits = farm.stores.visits.of_field(find_field(field, fields).id)
        elif every or as_csv:
            visits = farm.stores.visits.all()
        else:
            visits = tuple(farm.stores.visits.latest_by_field().values())
        now = farm.now
    visits = tuple(sorted(visits, key=lambda visit: visit.observed_utc, reverse=True))
    if as_json:
        say(json.dumps({"visits": [one.model_dump(mode="json") for one in visits]}, indent=2))
    elif as_csv:
        say(visits_csv(visits, fields))
    else:
        from scheduler.tables import show_table

        missing = [] if field else never_visited(visits, fields)
        show_table(VISIT_HEADERS, visit_rows(visits, missing, fields, now))
    return exit_codes.OK
