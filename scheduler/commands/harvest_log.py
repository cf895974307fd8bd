"""``warmspell harvest log``: one pass of harvest."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say, talk

if TYPE_CHECKING:
    from farm.field import Field
    from farm.records import Harvest, Spray
    from scheduler.opening import OpenFarm


@click.command("log", short_help="Record that a field, or part of it, was picked.")
@click.argument("field")
@click.option("--acres", metavar="N", help="Acres picked; all that is left if left out.")
@click.option("--when", metavar="TIME", help="Date or local time; now if left out.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@config_option
def log(field: str, acres: str | None, when: str | None, note: str, config_path: Path) -> int:
    """Record that FIELD (its id or name) was picked, or so many acres of it.

    What is left counts from the field's last spray of this season.

    \b
    Examples:
      warmspell harvest log "North Draw"
      warmspell harvest log nd1 --acres 60 --when 2026-10-20
    """
    from scheduler.harvest_record import acres_left, harvest_record
    from scheduler.opening import find_field, open_farm

    with open_farm(config_path) as farm:
        told = find_field(field, farm.fields_by_id)
        taken_back = farm.stores.retractions.taken_back(farm.now)
        sprays = farm.stores.sprays.of_field(told.id, taken_back)
        harvest = harvest_record(
            told,
            farm.stores.harvests.of_field(told.id, taken_back),
            sprays,
            farm.now,
            farm.zone,
            {"when": when, "acres": acres},
            note,
            taken_back,
        )
        new = farm.stores.harvests.add(harvest, farm.now)
        kept = farm.stores.harvests.of_field(told.id, taken_back)
    say(f"{told.name}: harvest {'kept' if new else 'was known already'} ({harvest.uuid})")
    left = acres_left(told, kept, sprays, harvest.harvested_utc, farm.zone)
    say(f"{harvest.acres:g} acres picked, {left.acres:g} of {told.acres:g} left")
    for warning in _warnings(farm, told, harvest, sprays, when):
        talk(warning)
    return exit_codes.OK


def _warnings(
    farm: "OpenFarm",
    field: "Field",
    harvest: "Harvest",
    sprays: "Sequence[Spray]",
    when: str | None,
) -> list[str]:
    from scheduler.harvest_record import interval_note
    from scheduler.typed_record import past_season_note

    treatments = {one.id: one for one in farm.config.settings.treatments}
    notes = (
        interval_note(harvest, sprays, treatments, field, when),
        past_season_note(harvest.harvested_utc, farm.now, farm.zone),
    )
    return [note for note in notes if note is not None]
