"""``warmspell spray log``: one application."""

from pathlib import Path
from zoneinfo import ZoneInfo

import click

from scheduler import exit_codes
from scheduler.commands.options import at_option, config_option
from scheduler.speaking import say


@click.command("log", short_help="Record one application.")
@click.argument("field")
@click.option("--when", metavar="TIME", help="Local time it was finished; now if left out.")
@click.option("--treatment", metavar="ID", help="What was sprayed; the field's own if left out.")
@click.option("--rig", metavar="ID", help="Which rig did it.")
@click.option("--applicator", default="", metavar="NAME", help="Who sprayed.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@config_option
@at_option
def log(
    field: str,
    when: str | None,
    treatment: str | None,
    rig: str | None,
    applicator: str,
    note: str,
    config_path: Path,
    at: str | None,
) -> int:
    """Record that FIELD (its id or name) was sprayed.

    The treatment's re-entry hours and days to harvest must be in the config, from its label;
    the earliest re-entry and harvest are told.

    \b
    Examples:
      warmspell spray log "North Draw" --rig hawk
      warmspell spray log nd1 --when 2026-10-06T14:20 --treatment full-mix
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.spray_record import intervals, not_before, spray_record

    with open_farm(config_path, at) as farm:
        told = find_field(field, farm.fields_by_id)
        texts = {"when": when, "treatment": treatment, "rig": rig}
        known, taken_back = farm.config.settings, farm.stores.retractions.taken_back(farm.now)
        spray = spray_record(told, known, farm.now, texts, applicator, note, taken_back)
        new = farm.stores.sprays.add(spray, farm.now)
        treatments = {one.id: one for one in farm.config.settings.treatments}
    say(f"{told.name}: spray {'kept' if new else 'was known already'} ({spray.uuid})")
    after, zone = intervals(spray, treatments[spray.treatment_id]), ZoneInfo(told.time_zone)
    say(f"Re-entry not before {not_before(after.reentry_utc, zone)}, by the label values entered")
    say(f"Harvest not before {not_before(after.harvest_utc, zone)}, by the label values entered")
    return exit_codes.OK
