"""``warmspell rank``: the latest ranking."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, csv_option, json_option, one_form
from scheduler.speaking import say, talk


@click.command("rank", short_help="The latest ranking of all fields.")
@config_option
@json_option
@csv_option
def command(config_path: Path, as_json: bool, as_csv: bool) -> int:
    """The latest ranking: every field's call, in order, with the first reason.

    \b
    Examples:
      warmspell rank
      warmspell rank --json | jq '.fields[0]'
      warmspell rank --csv > ranking.csv
    """
    from scheduler.opening import open_farm
    from scheduler.outputs import RANK_HEADERS, rank_rows, report_csv, report_json
    from scheduler.plans import latest_plan

    one_form(as_json, as_csv)
    with open_farm(config_path) as farm:
        report = latest_plan(farm.stores, config_path)
    if as_json:
        say(report_json(report))
    elif as_csv:
        say(report_csv(report))
    else:
        from dispatch.words import LocalClock, day
        from scheduler.tables import show_table

        run = report.run
        clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
        show_table(RANK_HEADERS, rank_rows(report))
        talk(
            f"{run.farm_name}, {day(run.local_date)}, made {clock.hour(run.made_utc)}. now and "
            "later: points of 100, sprayed next or from the back of the line. "
            "All behind one field: warmspell explain FIELD"
        )
    return exit_codes.OK
