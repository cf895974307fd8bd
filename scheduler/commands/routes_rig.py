"""``warmspell routes rig-out`` and ``rig-back``: a rig breaks, or works again."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import at_option, config_option
from scheduler.speaking import say

TIME_HELP = "Time of today such as 12:30, or a date and a time"


@click.command("rig-out", short_help="A rig does not work from a time on.")
@click.argument("rig")
@click.option("--from", "since", metavar="TIME", help=f"{TIME_HELP}; now if left out.")
@click.option("--until", metavar="TIME", help="When it works again; until rig-back if left out.")
@click.option("--why", default="", metavar="TEXT", help="Why, for whoever reads the plan.")
@config_option
@at_option
def rig_out(
    rig: str, since: str | None, until: str | None, why: str, config_path: Path, at: str | None
) -> int:
    """Take RIG (its id or name) out of the plans.

    What it is at then is planned anew, all of the field; log what was sprayed of it yourself.

    \b
    Examples:
      warmspell routes rig-out wide --from 12:00 --why "pump"
      warmspell routes rig-out wide --from 12:00 --until 2026-10-08T07:00
    """
    from scheduler.data_error import DataError
    from scheduler.opening import open_farm
    from scheduler.route_notes import find_rig, keep_note, typed_time

    with open_farm(config_path, at) as farm:
        told = find_rig(rig, farm.config.settings.rigs)
        begins = typed_time("--from", since, farm)
        ends = None if until is None else typed_time("--until", until, farm)
        if ends is not None and ends <= begins:
            raise DataError([f'--until: got "{until}", wanted a time after --from; correct it'])
        keep_note(farm, "rig_out", why, rig_id=told.id, from_utc=begins, until_utc=ends)
    say(f"{told.name}: out of the plans from then on; warmspell routes plans again")
    return exit_codes.OK


@click.command("rig-back", short_help="A rig works again.")
@click.argument("rig")
@click.option("--from", "since", metavar="TIME", help=f"{TIME_HELP}; now if left out.")
@config_option
@at_option
def rig_back(rig: str, since: str | None, config_path: Path, at: str | None) -> int:
    """Take RIG (its id or name) back into the plans.

    \b
    Examples:
      warmspell routes rig-back wide
      warmspell routes rig-back wide --from 15:30
    """
    from scheduler.opening import open_farm
    from scheduler.route_notes import find_rig, keep_note, typed_time

    with open_farm(config_path, at) as farm:
        told = find_rig(rig, farm.config.settings.rigs)
        keep_note(farm, "rig_back", rig_id=told.id, from_utc=typed_time("--from", since, farm))
    say(f"{told.name}: back in the plans; warmspell routes plans again")
    return exit_codes.OK
