"""``warmspell spray list``: the application records kept."""

import json
from pathlib import Path
from zoneinfo import ZoneInfo

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say

HEADERS = (
    *("field", "sprayed", "treatment", "re-entry from", "harvest from"),
    *("rig", "applicator", "id", "note"),
)


@click.command("list", short_help="The applications kept.")
@config_option
@json_option
def list_sprays(config_path: Path, as_json: bool) -> int:
    """Every application kept, newest first, with its earliest re-entry and harvest.

    Both count from the label values the config has for the treatment now. What was taken back
    is marked in its note.

    \b
    Examples:
      warmspell spray list
      warmspell spray list --json
    """
    from scheduler.opening import open_farm
    from scheduler.spray_record import intervals, not_before
    from scheduler.tables import show_table
    from scheduler.undone import marked_note, taken_back_json
    from storage.take_back import short_id

    with open_farm(config_path) as farm:
        fields = farm.fields_by_id
        treatments = {one.id: one for one in farm.config.settings.treatments}
        sprays = sorted(farm.stores.sprays.all(), key=lambda one: one.sprayed_utc, reverse=True)
        taken_back = farm.stores.retractions.by_record()
    after = [intervals(one, treatments.get(one.treatment_id)) for one in sprays]
    if as_json:
        told = [
            one.model_dump(mode="json")
            | until.model_dump(mode="json")
            | taken_back_json(one.uuid, taken_back)
            for one, until in zip(sprays, after, strict=True)
        ]
        say(json.dumps({"sprays": told}, indent=2))
        return exit_codes.OK
    rows = []
    for one, until in zip(sprays, after, strict=True):
        field = fields.get(one.field_id)
        zone = ZoneInfo(field.time_zone if field else "UTC")
        rows.append(
            (
                field.name if field else f"{one.field_id} (not registered)",
                f"{one.sprayed_utc.astimezone(zone):%a %-d %b %H:%M}",
                one.treatment_id,
                not_before(until.reentry_utc, zone),
                not_before(until.harvest_utc, zone),
                one.rig_id or "",
                one.applicator,
                short_id(one.uuid),
                marked_note(one.uuid, one.note, taken_back, zone),
            )
        )
    show_table(HEADERS, rows)
    return exit_codes.OK
