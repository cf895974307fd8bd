"""``warmspell routes done``: a stop of the plan was sprayed."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import at_option, config_option
from scheduler.commands.spray_log import log
from scheduler.speaking import say


@click.command("done", short_help="A stop was sprayed: logs the spray.")
@click.argument("field")
@click.option("--when", metavar="TIME", help="Local time it was finished; now if left out.")
@click.option("--rig", metavar="ID", help="Which rig did it; the one planned if left out.")
@click.option("--applicator", default="", metavar="NAME", help="Who sprayed.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@click.option(
    "--part",
    type=click.IntRange(1, 9),
    metavar="N",
    help="Which part, of a field planned in parts.",
)
@click.option("--take-back", is_flag=True, help="With --part: it was not sprayed after all.")
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
    part: int | None,
    take_back: bool,
    config_path: Path,
    at: str | None,
) -> int:
    """Record that FIELD (its id or name) was sprayed, by the rig it was planned for.

    This is the spray log: what warmspell spray log records, this records too, and once.

    Of a field that is planned in parts, a part is remembered as done and the next plan has the
    rest; with the last part the field's spray is logged, at the time of that part. Without --part
    it is the part that the plan has first.

    \b
    Examples:
      warmspell routes done "North Draw"
      warmspell routes done nd1 --when 2026-10-06T14:20 --applicator "Wade"
      warmspell routes done big8 --part 1
    """
    from scheduler.opening import find_field, open_farm
    from scheduler.route_notes import planned_rig, typed_time
    from scheduler.route_parts import part_reported, part_taken_back

    if take_back and part is None:
        raise click.UsageError("got --take-back without --part; say which part")
    with open_farm(config_path, at) as farm:
        told = find_field(field, farm.fields_by_id)
        if take_back and part is not None:
            part_taken_back(farm, told, part)
            say(f"{told.name}: part {part} is not done; warmspell routes plans it again")
            return exit_codes.OK
        by = rig or planned_rig(farm, told.id)
        found = part_reported(farm, told, part, typed_time("--when", when, farm))
    if found is not None and found.ended_utc is None:
        rest = ", ".join(str(one) for one in found.left)
        say(f"{told.name}: part {found.part} of {found.parts} is done; to do: part {rest}")
        return exit_codes.OK
    if found is not None and found.ended_utc is not None:
        when = found.ended_utc.isoformat()
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
