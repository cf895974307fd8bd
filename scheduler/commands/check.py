"""``warmspell check``: whether the config can be used."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say, talk


@click.command("check", short_help="Whether the config can be used, fault by fault.")
@config_option
def command(config_path: Path) -> int:
    """Validate the config and the files it names; every fault on its own line.

    Faults go to stderr as FILE:LINE: key: got, wanted, what to do, with exit code 78.

    \b
    Example:
      warmspell check --config myfarm/farm.toml
    """
    from config.check import check_lines
    from scheduler.opening import load_config

    config = load_config(config_path)
    for warning in config.warnings:
        talk(f"{warning}")
    from scheduler.own_errors_found import own_errors_found

    *lines, verdict = check_lines(config)
    for line in (*lines, *own_errors_found(config), verdict):
        say(line)
    return exit_codes.OK
