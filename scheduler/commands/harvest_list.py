"""``warmspell harvest list``: the harvest records kept."""

import json
from pathlib import Path
from zoneinfo import ZoneInfo

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say

HEADERS = ("field", "picked", "acres", "of", "id", "note")


@click.command("list", short_help="The harvests kept.")
@config_option
@json_option
def list_harvests(config_path: Path, as_json: bool) -> int:
    """Every harvest kept, newest first; what was taken back is marked in its note.

    \b
    Examples:
      warmspell harvest list
      warmspell harvest list --json
    """
    from scheduler.opening import open_farm
    from scheduler.tables import show_table
    from scheduler.undone import marked_note, taken_back_json
    from storage.take_back import short_id

    with open_farm(config_path) as farm:
        fields = farm.fields_by_id
        harvests = farm.stores.harvests.all()
        taken_back = farm.stores.retractions.by_record()
    newest_first = sorted(harvests, key=lambda one: one.harvested_utc, reverse=True)
    if as_json:
        told = [
            one.model_dump(mode="json") | taken_back_json(one.uuid, taken_back)
            for one in newest_first
        ]
        say(json.dumps({"harvests": told}, indent=2))
        return exit_codes.OK
    rows = []
    for one in newest_first:
        field = fields.get(one.field_id)
        zone = ZoneInfo(field.time_zone if field else "UTC")
        rows.append(
            (
                field.name if field else f"{one.field_id} (not registered)",
                f"{one.harvested_utc.astimezone(zone):%a %-d %b %Y}",
                f"{one.acres:g}",
                f"{field.acres:g}" if field else "",
                short_id(one.uuid),
                marked_note(one.uuid, one.note, taken_back, zone),
            )
        )
    show_table(HEADERS, rows)
    return exit_codes.OK
