"""Options that several commands share, spelled once."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

Command = TypeVar("Command", bound=Callable[..., Any])


def config_option(command: Command) -> Command:
    """``--config FILE``, by default farm.toml in this folder."""
    return click.option(
        "--config",
        "config_path",
        type=click.Path(dir_okay=False, path_type=Path),
        default=Path("farm.toml"),
        show_default=True,
        metavar="FILE",
        help="The farm's config file.",
    )(command)


def at_option(command: Command) -> Command:
    """``--at ISO-TIME``, the time to work with."""
    return click.option(
        "--at",
        metavar="ISO-TIME",
        help="Work as of this time, such as 2026-10-06T06:00 (local unless it says otherwise).",
    )(command)


def json_option(command: Command) -> Command:
    """``--json``."""
    return click.option("--json", "as_json", is_flag=True, help="JSON for other programs.")(command)


def csv_option(command: Command) -> Command:
    """``--csv``."""
    return click.option("--csv", "as_csv", is_flag=True, help="CSV for a spreadsheet.")(command)


def one_form(as_json: bool, as_csv: bool) -> None:
    """Refuse two output forms at once."""
    if as_json and as_csv:
        raise click.UsageError("got --json and --csv, wanted one of them")
