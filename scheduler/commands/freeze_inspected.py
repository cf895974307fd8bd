"""``warmspell freeze inspected``: a look at a field that froze."""

from pathlib import Path
from typing import Any

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say, talk

FOUND = ("alive", "killed", "unclear")


@click.command("inspected", short_help="Record what a look after a freeze found.")
@click.argument("field")
@click.option("--found", type=click.Choice(FOUND), required=True, help="What you decided.")
@click.option("--when", metavar="TIME", help="Date or local time of the look; now if left out.")
@click.option(
    "--leaves",
    type=click.Choice(("fall", "hold")),
    default=None,
    help="Whether flicked leaves fall or hold.",
)
@click.option("--bolls-cut", metavar="N", help="Bolls cut open.")
@click.option("--bolls-dead", metavar="N", help="Of these, brown inside.")
@click.option("--inspector", default="", metavar="NAME", help="Who looked.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@config_option
def inspected(
    field: str, found: Any, leaves: Any, inspector: str, note: str, config_path: Path, **texts: Any
) -> int:
    """Record a look at FIELD (its id or name) after a freeze.

    Flick leaves: where they fall they will shed, where they hold they are stuck. Cut bolls:
    brown inside is dead. The judgement is yours; counts are kept with it.

    \b
    Examples:
      warmspell freeze inspected "North Draw" --found alive --leaves fall
      warmspell freeze inspected nd1 --found killed --bolls-cut 20 --bolls-dead 18
    """
    from scheduler.freeze_record import (
        early_note,
        inspection_record,
        killing_before,
        refuse_without_freeze,
    )
    from scheduler.freeze_waiting import standing_words
    from scheduler.opening import find_field, open_farm

    with open_farm(config_path) as farm:
        told = find_field(field, farm.fields_by_id)
        taken_back = farm.stores.retractions.taken_back(farm.now)
        look = inspection_record(
            told, farm.now, found, texts, leaves or "not_looked", inspector, note, taken_back
        )
        killing_f = farm.config.rules[told.id].gates.killing_f
        freezes = farm.stores.freezes.of_field(told.id, taken_back)
        freeze = killing_before(look, freezes, killing_f, farm.zone)
        refuse_without_freeze(look, freeze, told, killing_f)
        new = farm.stores.freeze_inspections.add(look, farm.now)
        standing = standing_words(farm, told)
    say(f"{told.name}: look {'kept' if new else 'was known already'} ({look.uuid})")
    say(standing)
    warning = early_note(look, freeze, told)
    if warning:
        talk(warning)
    return exit_codes.OK
