"""``warmspell routes done``: a stop of the plan was sprayed."""

from pathlib import Path

import click

from scheduler.commands.options import at_option, config_option
from scheduler.commands.spray_log import log


@click.command("done", short_help="A stop was sprayed: logs the spray.")
@click.argument("field")
@click.option("--when", metavar="TIME", help="Local time it was finished; now if left out.")
@click.option("--rig", metavar="ID", help="Which rig did it; the one planned if left out.")
@click.option("--applicator", default="", metavar="NAME", help="Who sprayed.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@config_option
@at_option
@click.pass_context
def done(
    ctx: click.Context,
    field: str,
    when: str | None,
    rig: str | None,
    applicator: str,
    note: str,
    config_path: Path,
    at: str | None,
) -> int:
    """Record that FIELD (its id or name) was sprayed, by the rig it was planned for.

    This is the spray log: what warmspell spray log records, this records too, and once.

    \b
    Examples:
      warmspell routes done "North Draw"
      warmspell routes done nd1 --when 2026-10-06T14:20 --applicator "Wade"
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.route_notes import planned_rig

    with open_farm(config_path, at) as farm:
        told = find_field(field, farm.fields_by_id)
        by = rig or planned_rig(farm, told.id)
    code: int = ctx.invoke(
        log,
        field=told.id,
        when=when,
        treatment=None,
        rig=by,
        applicator=applicator,
        note=note,
        config_path=config_path,
        at=at,
    )
    return code
