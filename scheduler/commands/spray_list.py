"""``warmspell spray list``: the application records kept."""

import json
from pathlib import Path
from zoneinfo import ZoneInfo

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say

HEADERS = ("field", "sprayed", "treatment", "rig", "applicator", "note")


@click.command("list", short_help="The applications kept.")
@config_option
@json_option
def list_sprays(config_path: Path, as_json: bool) -> int:
    """Every application kept, newest first.

    \b
    Examples:
      warmspell spray list
      warmspell spray list --json
    """
    from scheduler.opening import open_farm
    from scheduler.tables import show_table

    with open_farm(config_path) as farm:
        fields = farm.fields_by_id
        sprays = sorted(farm.stores.sprays.all(), key=lambda one: one.sprayed_utc, reverse=True)
    if as_json:
        say(json.dumps({"sprays": [one.model_dump(mode="json") for one in sprays]}, indent=2))
        return exit_codes.OK
    rows = []
    for one in sprays:
        field = fields.get(one.field_id)
        local = one.sprayed_utc.astimezone(ZoneInfo(field.time_zone if field else "UTC"))
        rows.append(
            (
                field.name if field else f"{one.field_id} (not registered)",
                f"{local:%a %-d %b %H:%M}",
                one.treatment_id,
                one.rig_id or "",
                one.applicator,
                one.note,
            )
        )
    show_table(HEADERS, rows)
    return exit_codes.OK
