"""``warmspell freeze list``: freezes, looks, and what waits for one."""

import json
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say


@click.command("list", short_help="Freezes, looks at them, and the fields that wait for one.")
@config_option
@json_option
def list_freezes(config_path: Path, as_json: bool) -> int:
    """Every freeze and every look kept, newest first, then the fields that wait for a look.

    What was taken back is marked in its note.

    \b
    Examples:
      warmspell freeze list
      warmspell freeze list --json
    """
    from scheduler.freeze_rows import RECORD_HEADERS, WAITING_HEADERS, record_rows, waiting_rows
    from scheduler.freeze_waiting import waiting_fields
    from scheduler.opening import open_farm
    from scheduler.tables import show_table
    from scheduler.undone import taken_back_json

    with open_farm(config_path) as farm:
        fields = farm.fields_by_id
        freezes = sorted(farm.stores.freezes.all(), key=lambda one: one.froze_utc, reverse=True)
        looks = sorted(
            farm.stores.freeze_inspections.all(), key=lambda one: one.inspected_utc, reverse=True
        )
        waiting = waiting_fields(farm)
        taken_back = farm.stores.retractions.by_record()
    if as_json:
        told = {
            name: [
                one.model_dump(mode="json") | taken_back_json(one.uuid, taken_back)
                for one in records
            ]
            for name, records in (("freezes", freezes), ("inspections", looks))
        }
        told |= {
            "waiting": [
                {"field_id": one.field.id, **one.told.model_dump(mode="json")} for one in waiting
            ],
        }
        say(json.dumps(told, indent=2))
        return exit_codes.OK
    show_table(RECORD_HEADERS, record_rows(freezes, looks, fields, taken_back))
    say()
    if waiting:
        show_table(WAITING_HEADERS, waiting_rows(waiting), "Fields that wait for a look")
    else:
        say("No field waits for a look.")
    return exit_codes.OK
