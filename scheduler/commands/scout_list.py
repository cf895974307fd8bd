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

    What was taken back is marked in its note where all visits are listed, and left out elsewhere.

    \b
    Examples:
      warmspell scout list
      warmspell scout list "North Draw"
      warmspell scout list --all --csv > visits.csv
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.undone import taken_back_json
    from scheduler.visit_list import VISIT_HEADERS, never_visited, visit_rows, visits_csv

    one_form(as_json, as_csv)
    with open_farm(config_path) as farm:
        fields, taken_back = farm.fields_by_id, farm.stores.retractions.by_record()
        if field is not None:
            visits = farm.stores.visits.of_field(find_field(field, fields).id)
        elif every or as_csv:
            visits = farm.stores.visits.all()
        else:
            visits = tuple(farm.stores.visits.latest_by_field(taken_back).values())
        now = farm.now
    visits = tuple(sorted(visits, key=lambda visit: visit.observed_utc, reverse=True))
    if as_json:
        told = [
            one.model_dump(mode="json") | taken_back_json(one.uuid, taken_back) for one in visits
        ]
        say(json.dumps({"visits": told}, indent=2))
    elif as_csv:
        # It can be imported elsewhere, where nobody would know that they were taken back.
        say(visits_csv([one for one in visits if one.uuid not in taken_back], fields))
    else:
        from scheduler.tables import show_table

        missing = [] if field else never_visited(visits, fields)
        show_table(VISIT_HEADERS, visit_rows(visits, missing, fields, taken_back, now))
    return exit_codes.OK
