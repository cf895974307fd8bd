"""``warmspell routes``: who drives where, when, and what is left undone."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, csv_option, json_option
from scheduler.speaking import say, talk

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from dispatch.routes.plan import RoutePlan


@click.command("routes", short_help="Who drives where, when, and what is left undone.")
@config_option
@json_option
@csv_option
@click.option("--ics", "as_ics", is_flag=True, help="An iCalendar file with every stop.")
@click.option(
    "--rigs",
    type=click.IntRange(1, 500),
    metavar="N",
    help="Compare: what N rigs would reach, one fewer and one more.",
)
@click.option(
    "--hours",
    type=click.FloatRange(1, 24),
    metavar="H",
    help="Compare: what days of H hours would reach.",
)
@click.option(
    "--seconds",
    type=click.FloatRange(0, 3600, min_open=True),
    metavar="S",
    help="Time to search; as in [routes] search_s if left out.",
)
@click.option("--seed", type=click.IntRange(0), metavar="N", help="Search in another order.")
def command(
    config_path: Path,
    as_json: bool,
    as_csv: bool,
    as_ics: bool,
    rigs: int | None,
    hours: float | None,
    seconds: float | None,
    seed: int | None,
) -> int:
    """The plan of the rigs for the latest ranking: stops, times, acres, miles and tanks.

    A field is sprayed once, wholly inside its hours, by a rig that gets there and back within
    its day. What no rig can reach is listed, with why and what would change it. With --rigs or
    --hours nothing is planned: a small table compares.

    \b
    Examples:
      warmspell routes
      warmspell routes --ics > rigs.ics
      warmspell routes --rigs 3
      warmspell routes --rigs 3 --hours 14 --seconds 60
    """
    from scheduler.opening import open_farm
    from scheduler.plans import latest_plan
    from scheduler.rig_routes import compare, fleet_of, plan_routes, since_morning

    comparing = rigs is not None or hours is not None
    forms = [as_json, as_csv, as_ics]
    if sum(forms) > 1 or (comparing and (as_csv or as_ics)):
        wanted = "--json at most" if comparing else "one of --json, --csv and --ics"
        raise click.UsageError(f"got several output forms, wanted {wanted}")
    with open_farm(config_path) as farm:
        report = latest_plan(farm.stores, config_path)
        fleet = fleet_of(farm, report, seconds, seed)
        since = since_morning(farm, report)
    if comparing:
        from scheduler.route_outputs import IF_HEADERS, what_if_json, what_if_rows
        from scheduler.tables import show_table

        rows = compare(report, fleet, since, rigs, hours)
        if as_json:
            say(what_if_json(rows))
        else:
            show_table(IF_HEADERS, what_if_rows(rows))
        return exit_codes.OK
    plan = plan_routes(report, fleet, since)
    if as_ics:
        from dispatch.routes.calendar import plan_ics

        say(plan_ics(plan, report.run.farm_name, farm.now))
    elif as_json or as_csv:
        from scheduler.route_outputs import plan_csv, plan_json

        say(plan_json(plan) if as_json else plan_csv(plan))
    else:
        _show(plan, report)
    return exit_codes.OK


def _show(plan: "RoutePlan", report: "MorningReport") -> None:
    from dispatch.routes.calendar import CAUTION
    from dispatch.words import LocalClock
    from scheduler import route_outputs as shapes
    from scheduler.tables import show_table

    run = report.run
    clock = LocalClock(plan.time_zone, run.time_zone, run.local_date)
    for one in plan.days:
        rows = shapes.stop_rows(one, clock)
        show_table(shapes.STOP_HEADERS, rows, shapes.day_title(one, clock))
        say()
    if plan.left_out:
        show_table(shapes.LEFT_HEADERS, shapes.left_rows(plan))
        say()
    say(shapes.totals(plan))
    for note in plan.notes:
        talk(f"{note}.")
    talk(CAUTION)
