"""``warmspell verify``: forecasts against what happened."""

from pathlib import Path

import click

from scheduler.commands.options import config_option, json_option


@click.command("verify", short_help="How good the forecasts were.")
@config_option
@click.option(
    "--observed",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="CSV of what was observed: date, any of low_f, high_f, rain_in, and perhaps field.",
)
@click.option("--station", metavar="ID", help="Weather station whose reports are asked for.")
@json_option
@click.option(
    "--plot",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Draw the scores into FILE, a .png or .svg.",
)
def command(
    config_path: Path, observed: Path | None, station: str | None, as_json: bool, plot: Path | None
) -> int:
    """Hold the forecasts kept of past mornings against what was observed.

    Errors of lows and highs by days ahead, how far the odds of freeze and rain could be trusted,
    how often a promised window held, and this farm's own table of errors.

    \b
    Examples:
      warmspell verify --observed thermometer.csv
      warmspell verify --station KQQX --plot scores.png
    """
    from scheduler.verification import verify

    if (observed is None) == (station is None):
        raise click.UsageError("wanted one of --observed FILE and --station ID")
    return verify(config_path, observed, station, as_json, plot)
