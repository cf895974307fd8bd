"""``warmspell explain``: every figure behind one field's call."""

import json
from datetime import datetime
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say, talk

#: Endings of the pictures that can be drawn.
PICTURES = (".png", ".svg")


@click.command("explain", short_help="Every figure behind one field's call.")
@click.argument("field")
@click.option(
    "--on",
    "on_date",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="DATE",
    help="Explain the call of that local date, such as 2026-10-06.",
)
@click.option(
    "--plot",
    "plot_path",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Draw the hours ahead into FILE, a .png or .svg.",
)
@config_option
@json_option
def command(
    field: str,
    on_date: datetime | None,
    plot_path: Path | None,
    config_path: Path,
    as_json: bool,
) -> int:
    """Every figure behind FIELD's call, with ages and sources.

    FIELD is a field's id or its name.

    \b
    Examples:
      warmspell explain "North Draw"
      warmspell explain nd1 --on 2026-10-06
      warmspell explain nd1 --plot nd1.png
      warmspell explain nd1 --json
    """
    from config.check import who_tells
    from scheduler.explanation import Evidence, explain
    from scheduler.opening import find_field, open_farm
    from scheduler.outputs import without_nan
    from scheduler.plans import call_of, known_to, plan_on
    from scheduler.show_sections import show_sections

    if plot_path and plot_path.suffix.lower() not in PICTURES:
        raise click.UsageError(
            f"--plot: got {plot_path.name}, wanted a name that ends in {' or '.join(PICTURES)}"
        )
    with open_farm(config_path) as farm:
        report = plan_on(farm.stores, on_date.date() if on_date else None, config_path)
        known = {one.field.id: one.field for one in report.fields} | farm.fields_by_id
        call = call_of(report, find_field(field, known).id)
        visits, rules = known_to(farm, report, call.field.id)
        tellers = farm.config.tellers.get(call.field.id)
    told_by = who_tells(tellers, farm.config.settings.forecast) if tellers else ""
    evidence = Evidence(report, call, visits, rules, told_by)
    if plot_path:
        from scheduler.season_view import plot_season

        plot_season(evidence, plot_path)
    if as_json:
        told = {
            "run": report.run.model_dump(mode="json"),
            "field": call.model_dump(mode="json"),
            "visits": [visit.model_dump(mode="json") for visit in visits],
        }
        say(json.dumps(without_nan(told), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        show_sections(explain(evidence))
    if plot_path:
        talk(f"The hours ahead are drawn in {plot_path}.")
    return exit_codes.OK
