"""``warmspell routes``: who drives where, when, and what is left undone."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scheduler import exit_codes
from scheduler.commands.options import at_option, config_option, csv_option, json_option
from scheduler.commands.routes_done import done
from scheduler.commands.routes_field import missed, skip
from scheduler.commands.routes_rig import rig_back, rig_out
from scheduler.speaking import say, talk

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from dispatch.routes.plan import RoutePlan


@click.group(
    "routes",
    invoke_without_command=True,
    short_help="Who drives where, when, and what is left undone.",
)
@config_option
@at_option
@json_option
@csv_option
@click.option(
    "--ics",
    "ics",
    is_flag=False,
    flag_value="",
    metavar="[DIR]",
    help="An iCalendar file with every stop; with DIR one for each rig, there.",
)
@click.option("--geojson", "as_geojson", is_flag=True, help="Lines and points for a map.")
@click.option(
    "--sheets",
    type=click.Path(path_type=Path),
    metavar="DIR|FILE",
    help="Sheets to print, a page for each rig's day; all in one FILE if it ends in .html.",
)
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
@click.option(
    "--lock",
    multiple=True,
    metavar="RIG/STOP",
    help="Leave a stop with its rig, day and time: a field's, or its number. Repeatable.",
)
@click.option("--unlock", multiple=True, metavar="RIG/STOP", help="Let a locked stop go.")
@click.option("--dry-run", is_flag=True, help="Look only: the plan is not kept.")
@click.pass_context
def command(
    ctx: click.Context,
    config_path: Path,
    at: str | None,
    as_json: bool,
    as_csv: bool,
    ics: str | None,
    as_geojson: bool,
    sheets: Path | None,
    rigs: int | None,
    hours: float | None,
    seconds: float | None,
    seed: int | None,
    lock: tuple[str, ...],
    unlock: tuple[str, ...],
    dry_run: bool,
) -> int:
    """The plan of the rigs for the latest ranking: stops, times, acres, miles and tanks.

    A field is sprayed once, wholly inside its hours, by a rig that gets there and back within
    its day. What no rig can reach is listed, with why and what would change it. With --rigs or
    --hours nothing is planned: a small table compares.

    The plan is kept. The next one goes on from it: what is done or under way stays, the rest
    moves as little as it must, and every change is told with its reason.

    \b
    Examples:
      warmspell routes
      warmspell routes --ics > rigs.ics
      warmspell routes --sheets sheets.html
      warmspell routes --lock wide/nd1 --lock small/thu/2
      warmspell routes --rigs 3
      warmspell routes --rigs 3 --hours 14 --seconds 60
    """
    if ctx.invoked_subcommand is not None:
        # A FILE named before the word of the report is meant for it too.
        ctx.default_map = {ctx.invoked_subcommand: {"config_path": config_path}}
        return exit_codes.OK
    from scheduler.opening import open_farm
    from scheduler.plans import latest_plan
    from scheduler.rig_routes import compare, fleet_of, kept, plan_routes, since_morning
    from scheduler.route_files import farm_facts, plan_in_form, write_calendars, write_sheets

    comparing = rigs is not None or hours is not None
    forms = [as_json, as_csv, as_geojson, ics is not None, sheets is not None]
    if sum(forms) > (as_json if comparing else 1):
        wanted = (
            "--json at most" if comparing else "one of --json, --csv, --geojson, --ics and --sheets"
        )
        raise click.UsageError(f"got several output forms, wanted {wanted}")
    with open_farm(config_path, at) as farm:
        report = latest_plan(farm.stores, config_path)
        fleet = fleet_of(farm, report, seconds, seed)
        facts = farm_facts(farm, report)
        since = since_morning(farm, report, lock, unlock)
        if not comparing:
            plan = kept(farm, plan_routes(report, fleet, since), dry_run=dry_run)
    if comparing:
        from notify.route_words import IF_HEADERS, what_if_rows
        from scheduler.route_outputs import what_if_json
        from scheduler.tables import show_table

        rows = compare(report, fleet, since, rigs, hours)
        if as_json:
            say(what_if_json(rows))
        else:
            show_table(IF_HEADERS, what_if_rows(rows))
        return exit_codes.OK
    if any(forms):
        for note in (one for one in plan.notes if one.startswith(("lock", "unlock"))):
            talk(f"{note}.")
    if sheets is not None:
        talk("Open the sheets in a browser and print them.")
        say("\n".join(map(str, write_sheets(sheets, plan, facts, report))))
    elif ics:
        say("\n".join(map(str, write_calendars(Path(ics), plan, facts, farm.now))))
    elif any(forms):
        form = "json" if as_json else "csv" if as_csv else "geojson" if as_geojson else "ics"
        say(plan_in_form(form, plan, facts, farm.now))
    else:
        _show(plan, report)
    return exit_codes.OK


def _show(plan: "RoutePlan", report: "MorningReport") -> None:
    from dispatch.routes.calendar import CAUTION
    from dispatch.words import LocalClock
    from notify import route_words as shapes
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
    if plan.changes:
        show_table(shapes.CHANGE_HEADERS, shapes.change_rows(plan, clock))
        say()
    say(shapes.totals(plan))
    for note in plan.notes:
        talk(f"{note}.")
    talk(CAUTION)


for report_of_a_stop in (done, skip, missed, rig_out, rig_back):
    command.add_command(report_of_a_stop)
