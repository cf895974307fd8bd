"""``warmspell demo``: the whole morning of an invented co-op."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.speaking import say, talk

DEFAULT_FOLDER = "warmspell-demo"


@click.command("demo", short_help="A whole morning of an invented co-op, offline.")
@click.option(
    "--out",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help=f"Folder to leave the demo farm in; a new ./{DEFAULT_FOLDER} if left out.",
)
@click.option("--serve", is_flag=True, help="Show it on the board too, until stopped.")
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    metavar="N",
    help="Port of the board, with --serve.",
)
def command(folder: Path | None, serve: bool, port: int | None) -> int:
    """Run the whole morning of an invented co-op, offline, with nothing to set up.

    Shows the operator's digest, and leaves the farm, its recorded weather, its database and
    every digest in DIR, so that each command can be tried on it.

    \b
    Examples:
      warmspell demo
      warmspell demo --out my-demo
      warmspell demo --serve
    """
    from scheduler.demo_morning import demo_morning, new_folder
    from scheduler.operator_view import as_shown

    if port is not None and not serve:
        raise click.UsageError("got --port without --serve; add --serve to show the board")
    place = new_folder(folder, Path(DEFAULT_FOLDER))
    told = demo_morning(place)
    say(as_shown(told.digest))
    talk("")
    talk(f"The invented farm is in {place}; its clock stands at {told.clock}.")
    talk(f"Digests as text, mail and text message, and the data: {told.digests_folder}")
    talk("Try next:")
    for line in told.try_next:
        talk(f"  {line}")
    if serve:
        from scheduler.board.serve import serve_farm

        talk("")
        serve_farm(told.config_path, port)
    return exit_codes.OK
