"""``warmspell serve``: the board, for a browser on this machine or through a server before it."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option


@click.command("serve", short_help="The board: pages to look at, and a form for scouts.")
@config_option
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    metavar="N",
    help="Port to listen on; as in [board] port if left out.",
)
def command(config_path: Path, port: int | None) -> int:
    """Show the order, the map, the rigs and every field in a browser, until stopped.

    For one person at this machine a link is printed that works once. For several readers make
    accounts (warmspell board add), set [board] accounts, and put a server with TLS before it.

    \b
    Examples:
      warmspell serve --config myfarm/farm.toml
      warmspell serve --port 9000
    """
    from scheduler.board.serve import serve_farm

    serve_farm(config_path, port)
    return exit_codes.OK
