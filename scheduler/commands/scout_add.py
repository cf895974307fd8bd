"""``warmspell scout add``: one visit."""

from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say


@click.command("add", short_help="Record one visit.")
@click.argument("field")
@click.option("--nacb", "nodes_above_cracked_boll", metavar="N", help="Nodes above cracked boll.")
@click.option("--open", "percent_open", metavar="PCT", help="Percent of bolls open.")
@click.option("--plants", metavar="N|LIST", help='Plants counted, or the nodes of each: "4 3 5 4".')
@click.option("--bolls-open", metavar="N", help="Harvestable bolls open.")
@click.option("--bolls-closed", metavar="N", help="Harvestable bolls closed.")
@click.option("--cut", "bolls_cut", metavar="N", help="Top bolls cut.")
@click.option("--cut-mature", "bolls_cut_mature", metavar="N", help="Of these, mature.")
@click.option("--stages", "cut_stages", metavar="LIST", help='Stage 1-12 of each: "11 12 9".')
@click.option("--veg-cut", "vegetative_bolls_cut", metavar="N", help="Vegetative bolls cut.")
@click.option("--veg-mature", "vegetative_bolls_mature", metavar="N", help="Of these, mature.")
@click.option("--gap", "fruiting_gap", is_flag=True, help="There is a fruiting gap.")
@click.option("--stand", "plants_per_ft", metavar="N", help="Plants per foot of row.")
@click.option("--leaf-drop", "leaf_drop_pct", metavar="PCT", help="Leaves off after a spray.")
@click.option(
    "--observed", metavar="TIME", help="Date or local time of the visit; now if left out."
)
@click.option("--scout", default="", metavar="NAME", help="Who looked.")
@click.option("--note", default="", metavar="TEXT", help="Anything worth remembering.")
@click.option("--windshield", is_flag=True, help="Estimated from the road.")
@config_option
def add(
    field: str,
    config_path: Path,
    plants: str | None,
    windshield: bool,
    fruiting_gap: bool,
    **texts: str | None,
) -> int:
    """Record one visit to FIELD (its id or name).

    With the nodes of each plant the mean is worked out, and how sure it is; with open and closed
    bolls, percent open. Stages are those of the 12-step picture scale; mature from 11 on.
    Cut the uppermost harvestable bolls with a sharp knife, away from your hand.

    \b
    Examples:
      warmspell scout add nd1 --nacb 3.2 --open 64 --plants 12
      warmspell scout add nd1 --plants "4 3 5 4 3 4" --bolls-open 70 --bolls-closed 41
      warmspell scout add "East Pivot" --cut 10 --cut-mature 9 --observed 2026-10-04T09:30
    """
    from zoneinfo import ZoneInfo

    from farm.retraction import entered_anew
    from scheduler.data_error import DataError
    from scheduler.opening import find_field, open_farm
    from scheduler.scouting_row import RowError, visit_from_texts

    with open_farm(config_path) as farm:
        told = find_field(field, farm.fields_by_id)
        given = {column: text for column, text in texts.items() if text}
        here = farm.now.astimezone(ZoneInfo(told.time_zone))
        given.setdefault("observed", here.isoformat(timespec="seconds"))
        given |= {"field_id": told.id, "windshield": "yes" if windshield else "no"}
        given["fruiting_gap"] = "yes" if fruiting_gap else "no"
        if plants:
            several = len(plants.replace(",", " ").split()) > 1
            given["plant_nodes" if several else "plants_counted"] = plants
        try:
            visit = visit_from_texts(given, farm.fields_by_id, farm.now)
        except RowError as refusal:
            raise DataError(
                [f"visit: {column}: {problem}" for column, problem in refusal.problems]
            ) from None
        uuid = entered_anew(visit.uuid, farm.stores.retractions.taken_back(farm.now))
        visit = visit.model_copy(update={"uuid": uuid})
        new = farm.stores.visits.add([visit], farm.now)
    say(f"{told.name}: visit {'kept' if new else 'was known already'} ({visit.uuid})")
    return exit_codes.OK
