"""``undo``, a part of every command that keeps records."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say

if TYPE_CHECKING:
    from farm.retraction import Kind


def undo_command(group: str, *kinds: "Kind") -> click.Command:
    """The command that takes back records of some kinds, for the group of that name."""
    what = " or ".join(kinds)

    @click.command("undo", short_help=f"Take back a {what} that was entered wrongly.")
    @click.argument("record")
    @click.option("--by", default="", metavar="NAME", help="Who takes it back.")
    @click.option("--why", default="", metavar="TEXT", help="The reason, for who reads it later.")
    @config_option
    def undo(record: str, by: str, why: str, config_path: Path) -> int:
        from farm.retraction import Retraction
        from scheduler.data_error import DataError
        from scheduler.opening import open_farm
        from scheduler.typed_record import refuse_long
        from scheduler.undone import undone_lines
        from storage.take_back import NoSuchRecordError, find_record, take_back

        refuse_long("undo", Retraction, {"by": by, "why": why})
        with open_farm(config_path) as farm:
            try:
                kind, found = find_record(farm.stores, kinds, record)
                told = take_back(farm.stores, kind, found.uuid, farm.now, by, why)
            except NoSuchRecordError as fault:
                hint = f"see warmspell {group} list"
                raise DataError([f"{group} undo: record: {fault}; {hint}"]) from None
            lines = undone_lines(farm, told)
        for line in lines:
            say(line)
        return exit_codes.OK

    undo.help = f"""Take back RECORD, a {what}, by the start of its id that `{group} list` shows.

    It stays on the list, marked, and no morning from now on rests on it. Taken back twice is
    taken back once. There is no way back from it: what was right after all is entered again.

    \b
    Examples:
      warmspell {group} undo 1a2b3c4d --why "wrong field"
      warmspell {group} undo 1a2b3c4d --by "R. Vale" --why "entered twice"
    """
    return undo
