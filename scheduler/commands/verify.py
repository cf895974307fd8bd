"""``warmspell verify``: forecasts against what happened."""

from pathlib import Path

import click

from scheduler.commands.options import config_option, json_option

#: Seed of the seasons in docs/backtest.md; nothing was chosen on them.
SEED = 2027

OF_OBSERVATIONS = ("config_path", "observed", "station", "keep", "forget")
OF_SEASONS = ("seasons", "fields", "seed", "folder")
NOT_OF_A_FOLDER = ("station", "keep", "forget", "seasons", "fields", "plot")


@click.command("verify", short_help="How good the forecasts were.")
@config_option
@click.option(
    "--observed",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="CSV of what was observed: date, any of low_f, high_f, rain_in, and perhaps field.",
)
@click.option("--station", metavar="ID", help="Weather station whose reports are asked for.")
@click.option(
    "--keep",
    is_flag=True,
    help="Keep this farm's own errors of lows: mornings count with them from then on.",
)
@click.option("--forget", is_flag=True, help="Take back the errors that were kept.")
@click.option(
    "--backtest",
    is_flag=True,
    help="Run our order and others on simulated seasons instead; needs no config.",
)
@click.option(
    "--folder",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    metavar="DIR",
    help="A past season of this farm for --backtest: one folder of recorded answers a morning, "
    "named as 2025-10-01T11Z.",
)
@click.option(
    "--seasons",
    type=click.IntRange(1, 100_000),
    default=200,
    show_default=True,
    help="Seasons of the backtest.",
)
@click.option(
    "--fields",
    type=click.IntRange(1, 2_000),
    default=150,
    show_default=True,
    help="Fields of its co-op.",
)
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=SEED,
    show_default=True,
    help="Which seasons: the same seed, the same seasons.",
)
@json_option
@click.option(
    "--plot",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Draw the scores into FILE, a .png or .svg.",
)
@click.pass_context
def command(
    ctx: click.Context,
    config_path: Path,
    observed: Path | None,
    station: str | None,
    keep: bool,
    forget: bool,
    backtest: bool,
    folder: Path | None,
    seasons: int,
    fields: int,
    seed: int,
    as_json: bool,
    plot: Path | None,
) -> int:
    """Hold the forecasts kept of past mornings against what was observed.

    Errors of lows and highs by days ahead, how far the odds of freeze and rain could be trusted,
    how often a promised window held, and this farm's own table of errors.

    With --backtest instead: our calls and order against other rules, on simulated seasons, or
    with --folder on a past season of this farm, from what was recorded on its mornings.

    \b
    Examples:
      warmspell verify --observed thermometer.csv
      warmspell verify --station KQQX --plot scores.png
      warmspell verify --observed thermometer.csv --keep
      warmspell verify --backtest --seasons 20 --fields 60
      warmspell verify --backtest --folder season-2025 --observed thermometer.csv
    """
    if backtest and folder is not None:
        _refuse(ctx, NOT_OF_A_FOLDER, "not with --folder")
        from scheduler.past_season.tell import past_season

        return past_season(config_path, folder, observed, seed, as_json)
    if backtest:
        _refuse(ctx, OF_OBSERVATIONS, "only without --backtest")
        from scheduler.backtest import backtest as run_rules

        return run_rules(seasons, fields, seed, as_json, plot)
    _refuse(ctx, OF_SEASONS, "only with --backtest")
    from scheduler.verification import forget as take_back
    from scheduler.verification import verify

    if forget:
        if observed or station or keep:
            raise click.UsageError("--forget: wanted it alone")
        return take_back(config_path)
    if (observed is None) == (station is None):
        raise click.UsageError("wanted one of --observed FILE and --station ID")
    return verify(config_path, observed, station, as_json, plot, keep)


def _refuse(ctx: click.Context, options: tuple[str, ...], wanted: str) -> None:
    """Refuse options of the other form, which would silently do nothing."""
    for one in options:
        if ctx.get_parameter_source(one) is click.core.ParameterSource.COMMANDLINE:
            raise click.UsageError(f"--{one.removesuffix('_path')}: wanted {wanted}")
