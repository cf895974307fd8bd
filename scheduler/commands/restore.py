"""``warmspell restore``: a backup put back."""

from contextlib import ExitStack
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say


@click.command("restore", short_help="A backup put back, every row compared.")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@config_option
@click.option("--replace", is_flag=True, help="Keep what stands there beside, and put it there.")
def command(file: Path, config_path: Path, replace: bool) -> int:
    """Put the backup FILE where the config's database is; stop the worker first.

    Where something stands there already nothing is changed, unless --replace says to keep it
    beside under another name. Messages that waited when the backup was made are not sent any
    more, and a morning of today that should be out by now is not sent by the worker again.

    \b
    Examples:
      warmspell restore /safe/place/warmspell-20261006T110000Z.zip
      warmspell restore before-harvest.zip --replace
    \b
    Exit codes: 0 put back, 74 not put back, 75 a worker runs.
    """
    from scheduler.backup import restored_lines
    from scheduler.opening import load_config, moment_of
    from scheduler.put_back import put_back
    from scheduler.worker_lock import lock_path, only_worker, sending_lock_path

    config = load_config(config_path)
    database = config.settings.farm.database
    with ExitStack() as held:
        for path in (
            lock_path(config.folder, database),
            sending_lock_path(config.folder, database),
        ):
            path.parent.mkdir(parents=True, exist_ok=True)
            held.enter_context(only_worker(path))
        told, given_up = put_back(config, file, moment_of(config, None), replace=replace)
    lines = restored_lines(told)
    if given_up:
        lines.append(
            f"the morning of {given_up} is not sent again: see warmspell morning --dry-run"
        )
    say("\n".join(lines))
    return exit_codes.OK
