"""``warmspell backup``: the farm's database in one file."""

import json
from pathlib import Path
from typing import Any

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say, talk


@click.command("backup", short_help="The farm's database in one file, while the worker runs.")
@click.argument("file", type=click.Path(path_type=Path))
@config_option
@click.option("--drill", "drilled", is_flag=True, help="Put it back into a folder and look at it.")
@json_option
def command(file: Path, config_path: Path, drilled: bool, as_json: bool) -> int:
    """Keep one moment of the database in FILE; others may write meanwhile.

    FILE may be a folder; the backup is then named for the moment. A file that is there is never
    written over. It holds addresses and messages, so only its owner may read it.

    \b
    Examples:
      warmspell backup /safe/place --drill
      warmspell backup before-harvest.zip --config myfarm/farm.toml
    \b
    Exit codes: 0 kept and whole, 74 not kept, or kept with rows that are damaged (they are named).
    """
    from scheduler.backup import drill, drill_lines, keep_backup, kept_lines, note
    from scheduler.opening import open_farm

    with open_farm(config_path) as farm:
        kept = keep_backup(farm, file)
        seals = drill(kept.path, farm.now) if drilled else kept.seals
        code = exit_codes.DATABASE if kept.damaged else exit_codes.OK
        note(farm, code)
    for line in kept.damaged:
        talk(line)
    if as_json:
        told: dict[str, Any] = {"file": str(kept.path), "drilled": drilled, "exit_code": code}
        told |= {"rows": {name: one.rows for name, one in kept.manifest.tables.items()}}
        told |= {"damaged": list(kept.damaged)}
        say(json.dumps(told, indent=2))
    else:
        lines = kept_lines(kept) + (drill_lines(seals, kept.manifest) if drilled else [])
        say("\n".join(lines))
    return code
