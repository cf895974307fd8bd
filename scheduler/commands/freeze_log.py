"""``warmspell freeze log``: a freeze that hit fields."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say, talk


@click.command("log", short_help="Record a freeze.")
@click.argument("fields", metavar="FIELD...", nargs=-1)
@click.option("--all", "every", is_flag=True, help="Every field of the farm.")
@click.option(
    "--when", metavar="TIME", help="Date (its 6 am) or local time; this morning if left out."
)
@click.option("--low-f", metavar="N", help="Low at the field in F; left out, a killing freeze.")
@click.option("--reporter", default="", metavar="NAME", help="Who saw it.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@config_option
def log(
    fields: tuple[str, ...],
    every: bool,
    when: str | None,
    low_f: str | None,
    reporter: str,
    note: str,
    config_path: Path,
) -> int:
    """Record that a freeze hit each FIELD (its id or name), or all of them.

    A low at or below the field's killing_f takes it out of the order until it was looked at, and
    so does a freeze without a low; a milder one is kept and changes no call.

    \b
    Examples:
      warmspell freeze log --all --low-f 27
      warmspell freeze log "North Draw" nd2 --when 2026-10-20 --reporter "A. Ruiz"
      warmspell freeze log nd1 --when 2026-10-20T06:40 --low-f 26.5
    """
    from scheduler.freeze_record import freeze_record
    from scheduler.freeze_rows import logged_lines
    from scheduler.opening import find_field, open_farm
    from scheduler.typed_record import past_season_note

    if every == bool(fields):
        got = "fields and --all" if every else "no field"
        raise click.UsageError(f"got {got}, wanted one or the other")
    with open_farm(config_path) as farm:
        named = farm.fields_by_id
        found = {one.id: one for one in (find_field(text, named) for text in fields)}
        hit = named if every else found
        taken_back = farm.stores.retractions.taken_back(farm.now)
        freezes = [
            freeze_record(one, farm.now, when, low_f, reporter, note, taken_back)
            for one in hit.values()
        ]
        before = {one.uuid for one in farm.stores.freezes.all()}
        farm.stores.freezes.add_all(freezes, farm.now)
        rules = farm.config.rules
    for line in logged_lines(freezes, before, hit, rules):
        say(line)
    notes = (past_season_note(one.froze_utc, farm.now, farm.zone) for one in freezes)
    for warning in sorted({one for one in notes if one is not None}):
        talk(warning)
    return exit_codes.OK
