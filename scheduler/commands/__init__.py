"""The command line ``warmspell``: one thin file for each command, loaded when it is asked for."""

import importlib
import sys
from collections.abc import Sequence
from typing import Any, NoReturn

import click

from scheduler import exit_codes
from scheduler.faults import report
from scheduler.speaking import hush

COMMANDS = (
    *("demo", "init", "check", "morning", "work", "rank", "explain"),
    *("scout", "spray", "harvest", "freeze", "verify", "people"),
    *("backup", "restore", "doctor", "routes", "serve", "board"),
)

#: What a program ended by Ctrl-C exits with, by custom of the shell.
INTERRUPTED = 130


class LateLoading(click.Group):
    """A group that imports a command's file when the command is used or listed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of a first day."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"scheduler.commands.{cmd_name}").command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command named when there is none."""
        from difflib import get_close_matches

        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            close = get_close_matches(args[0], COMMANDS, n=1)
            hint = f'did you mean "{close[0]}"?' if close else f"wanted {', '.join(COMMANDS)}"
            raise click.UsageError(f'got command "{args[0]}"; {hint}', ctx)
        return super().resolve_command(ctx, args)


def _show_version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted and not ctx.resilient_parsing:
        from importlib.metadata import version

        click.echo(f"warmspell {version('warmspell')}")
        ctx.exit()


@click.group(cls=LateLoading, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version.",
)
def warmspell() -> None:
    """Which cotton fields to spray next with harvest aid, and why.

    The label is the law and a licensed applicator decides; this only advises.

    \b
    First steps:
      warmspell demo                  a whole morning of an invented co-op
      warmspell init myfarm           your own farm, ready to fill in
      warmspell check --config myfarm/farm.toml
      warmspell morning --config myfarm/farm.toml --dry-run

    \b
    Exit codes: 0 all known and sent, 3 some fields unknown, 4 some people not reached,
    64 usage, 65 bad data, 69 no forecast at all, 70 fault of the program, 74 database,
    75 try later, 78 config.
    """


def run(arguments: Sequence[str] | None = None) -> int:
    """Carry out one command and return its exit code; never raises."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show a letter gets a question mark, not a crash.
        reconfigure: Any = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")
    try:
        told = warmspell.main(
            args=None if arguments is None else list(arguments),
            prog_name="warmspell",
            standalone_mode=False,
        )
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except SystemExit:
        # Click ends so when whoever read the output has gone.
        hush(sys.stdout)
        return exit_codes.OK
    except Exception as fault:
        return report(fault)
    return told if isinstance(told, int) else exit_codes.OK


def main() -> NoReturn:
    """Carry out the command of this process."""
    sys.exit(run())
