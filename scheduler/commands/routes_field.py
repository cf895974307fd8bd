"""``warmspell routes skip`` and ``missed``: a field is left out, or was not sprayed."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import at_option, config_option
from scheduler.speaking import say


@click.command("skip", short_help="Leave a field out of the plans.")
@click.argument("field")
@click.option("--why", default="", metavar="TEXT", help="Why, for whoever reads the plan.")
@click.option("--until", metavar="TIME", help="Until then; until it is put back if left out.")
@config_option
@at_option
def skip(field: str, why: str, until: str | None, config_path: Path, at: str | None) -> int:
    """Leave FIELD (its id or name) out of the plans of rigs from now on.

    warmspell routes missed FIELD puts it back.

    \b
    Examples:
      warmspell routes skip "North Draw" --why "gate locked, grower away"
      warmspell routes skip nd1 --until 2026-10-08T07:00
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.route_notes import keep_note, typed_time

    with open_farm(config_path, at) as farm:
        told = find_field(field, farm.fields_by_id)
        ends = None if until is None else typed_time("--until", until, farm)
        keep_note(farm, "skip", why, field_id=told.id, until_utc=ends)
    say(f"{told.name}: left out of the plans; warmspell routes plans the rest")
    return exit_codes.OK


@click.command("missed", short_help="A field was not sprayed as planned: plan it again.")
@click.argument("field")
@click.option("--why", default="", metavar="TEXT", help="Why, for whoever reads the plan.")
@config_option
@at_option
def missed(field: str, why: str, config_path: Path, at: str | None) -> int:
    """Record that FIELD was not sprayed though its time is past, or is skipped no more.

    The next plan has it again, where its hours allow.

    \b
    Examples:
      warmspell routes missed nd1 --why "pump"
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.route_notes import keep_note

    with open_farm(config_path, at) as farm:
        told = find_field(field, farm.fields_by_id)
        keep_note(farm, "missed", why, field_id=told.id)
    say(f"{told.name}: to be planned again; run warmspell routes")
    return exit_codes.OK
