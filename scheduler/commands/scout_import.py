"""``warmspell scout import``: visits from a CSV file."""

import sys
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say, talk


@click.command("import", short_help="Read visits from a CSV file.")
@click.argument("file", type=click.Path(dir_okay=False, allow_dash=True, path_type=Path))
@click.option("--partial", is_flag=True, help="Take the good rows even if others are wrong.")
@config_option
def import_visits(file: Path, partial: bool, config_path: Path) -> int:
    """Read visits from a CSV FILE (- for stdin), all of them or none.

    Columns: field_id, observed, and any of scout, plants_counted, nodes_above_cracked_boll,
    percent_open, bolls_cut, bolls_cut_mature, vegetative_bolls_cut, vegetative_bolls_mature,
    plant_nodes (of each plant, "4 3 5 4"), bolls_open, bolls_closed, cut_stages (1 to 12 of each
    cut boll, "11 12 9"), plants_per_ft, fruiting_gap, leaf_drop_pct (after a spray), windshield,
    note, uuid.
    Commas, semicolons or tabs; a time without an offset is the field's. The same row read twice
    is one visit. Exit code 65 when a row was refused.

    \b
    Examples:
      warmspell scout import visits.csv
      warmspell scout import --partial visits.csv
    """
    from dispatch.words import plural
    from scheduler.data_error import DataError
    from scheduler.opening import open_farm
    from scheduler.scouting_file import read_scouting

    content = _content(file)
    with open_farm(config_path) as farm:
        known = {visit.uuid: visit for visit in farm.stores.visits.all()}
        told = read_scouting(content, file.name, farm.fields_by_id, farm.now, known)
        for notice in told.notices:
            talk(notice)
        problems = [problem for row in told.rejected for problem in row.problems]
        if problems and not partial:
            rows = len(told.visits) + len(told.rejected)
            verdict = (
                f"{file.name}: {len(told.rejected)} of {rows} rows cannot be used, none was taken"
            )
            raise DataError([*problems, f"{verdict}; mend them, or take the others with --partial"])
        new = farm.stores.visits.add(told.visits, farm.now)
        taken_back = farm.stores.retractions.taken_back(farm.now)
        stay = sum(visit.uuid in taken_back for visit in told.visits)
        farm.stores.visits.reject(
            [("; ".join(row.problems), row.row) for row in told.rejected], farm.now
        )
    for problem in problems:
        talk(problem)
    if stay:
        talk(
            f"{file.name}: {plural(stay, 'visit')} of it taken back before and left so; what is "
            "right after all is entered with warmspell scout add"
        )
    kept, refused = len(told.visits) - new, len(told.rejected)
    added, wrong = plural(new, "visit"), plural(refused, "row")
    say(f"{file.name}: {added} added, {kept} known already, {wrong} refused")
    return exit_codes.BAD_DATA if problems else exit_codes.OK


def _content(file: Path) -> bytes:
    from scheduler.data_error import DataError

    if str(file) == "-":
        return sys.stdin.buffer.read()
    try:
        return file.read_bytes()
    except OSError as fault:
        raise DataError([f"{file}: cannot be read: {fault.strerror}; check the name"]) from None
