"""``warmspell verify --backtest --folder``: a past season of this farm, told as table or JSON."""

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path

from agronomy.season import season_start
from dispatch.season.run import OURS, Outcome
from dispatch.season.score import scores
from farm.records import Visit
from scheduler import exit_codes
from scheduler.data_error import DataError
from scheduler.opening import OpenFarm, open_farm
from scheduler.past_season.issues import Issue, find_issues
from scheduler.past_season.run import run_season
from scheduler.season_records import readable_records
from scheduler.speaking import say, talk
from scheduler.tables import show_table
from scheduler.watched import watched_file

CAUTION = (
    "The crop's response is modelled, never measured, a field counted mature counts as ripe, and "
    "one season proves little: read differences between rules, not levels."
)
HEADERS = ("rule", "worth", "ours ahead by", "caught", "of them ripe", "rig-hours")


def past_season(
    config_path: Path, folder: Path, observed: Path | None, seed: int, as_json: bool
) -> int:
    """Run every rule on the mornings recorded in a folder, and tell how each did.

    Raises
    ------
    DataError, ForecastError, StorageError, ConfigError
        What is wrong with the folder or the record, its answers, the database, or the config.
    """
    with open_farm(config_path) as farm:
        issues, passed_over = find_issues(folder, farm.zone)
        watched = watched_file(farm, observed, {}) if observed else []
        visits_by = _visits_by(farm, issues)
        talk(f"{len(issues)} mornings, {len(farm.config.fields)} fields. {CAUTION}")
        outcomes, notes = run_season(farm.config, issues, visits_by, watched, seed)
    notes = (*passed_over, *notes)
    for line in notes:
        talk(line)
    if as_json:
        say(_json(issues, len(farm.config.fields), seed, outcomes, notes))
        return exit_codes.OK
    show_table(HEADERS, _rows(outcomes))
    talk(
        "worth: share of a perfect spray on every acre, in points of 100. caught: acres never "
        "sprayed, by a killing freeze or the last morning, in %; ripe: counted mature before. "
        "rig-hours: worked of those in which some field could be."
    )
    return exit_codes.OK


def _visits_by(farm: OpenFarm, issues: Sequence[Issue]) -> Callable[[datetime], tuple[Visit, ...]]:
    """The visits of the season up to a moment."""
    first, last = (one.moment for one in (issues[0], issues[-1]))
    begins = [season_start(one.astimezone(farm.zone).date()) for one in (first, last)]
    if begins[0] != begins[1]:
        raise DataError(
            [
                f"--folder: got issues from {issues[0].name} to {issues[-1].name}, wanted those of "
                "one season, which begins on 1 July; name a folder for each"
            ]
        )
    known = readable_records(farm.stores, farm.config.time_zone, last)
    for one in known.damaged:
        talk(f"left out: {one.told}")
    return lambda moment: tuple(one for one in known.visits if one.observed_utc <= moment)


def _rows(outcomes: Sequence[Outcome]) -> list[tuple[str, ...]]:
    of_rule = {one.rule: one for one in outcomes}
    return [
        (
            one.rule,
            f"{one.worth_pct:.1f}",
            "" if one.rule == OURS else f"{one.behind_pct:+.2f}",
            f"{one.caught_pct:.1f} %",
            f"{one.ripe_caught_pct:.1f} %",
            f"{of_rule[one.rule].rig_hours:.0f} of {of_rule[one.rule].usable_rig_hours:.0f}",
        )
        for one in scores(outcomes)
    ]


def _json(
    issues: Sequence[Issue],
    fields: int,
    seed: int,
    outcomes: Sequence[Outcome],
    notes: Sequence[str],
) -> str:
    ours = next(one for one in outcomes if one.rule == OURS)
    told = {
        "simulated": False,
        "caution": CAUTION,
        "run": {
            "mornings": len(issues),
            "first_utc": issues[0].moment.isoformat(),
            "last_utc": issues[-1].moment.isoformat(),
            "fields": fields,
            "seed": seed,
        },
        "notes": list(notes),
        "rules": [
            {
                **{name: value for name, value in asdict(one).items() if name != "season"},
                "behind_pct": ours.worth_pct - one.worth_pct,
            }
            for one in outcomes
        ],
    }
    return json.dumps(told, indent=2, allow_nan=False)
