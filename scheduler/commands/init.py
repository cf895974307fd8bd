"""``warmspell init``: a starter farm to fill in."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.speaking import say, talk


@click.command("init", short_help="A starter farm of your own to fill in.")
@click.argument("folder", metavar="DIR", type=click.Path(file_okay=False, path_type=Path))
def command(folder: Path) -> int:
    """Write a starter config and fields file into DIR, every key explained.

    Nothing that exists is overwritten, and `warmspell check` passes on it at once.

    \b
    Example:
      warmspell init myfarm && warmspell check --config myfarm/farm.toml
    """
    from config.starter import write_starter

    for path in write_starter(folder) or ():
        say(str(path))
    talk(f"Fill in {folder / 'farm.toml'}, then: warmspell check --config {folder / 'farm.toml'}")
    return exit_codes.OK
